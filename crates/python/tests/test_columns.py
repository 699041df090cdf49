"""Columns of Arrow and pandas, and the wheel inside an engine."""

import json

import pytest

import crossread

pa = pytest.importorskip("pyarrow")
pd = pytest.importorskip("pandas")


@pytest.fixture(scope="module")
def sheets(examples):
    return [*(worksheet for worksheet, _ in examples.values()), None, "{}"]


@pytest.fixture(scope="module")
def answers(sheets):
    return crossread.interpret_many(sheets)


@pytest.mark.parametrize("given, text", [
    (pa.string(), pa.string()),
    (pa.large_string(), pa.large_string()),
    (pa.binary(), pa.string()),
    (pa.large_binary(), pa.large_string()),
    (pa.string_view(), pa.string()),
    (pa.binary_view(), pa.string()),
])
def test_a_column_of_arrow(sheets, answers, given, text):
    column = crossread.interpret_arrow(pa.array(sheets).cast(given))
    assert column.type == text and column.to_pylist() == answers
    pieces = [pa.array(piece, pa.string()).cast(given) for piece in (sheets[:3], [], sheets[3:])]
    column = crossread.interpret_arrow(pa.chunked_array(pieces))
    assert isinstance(column, pa.ChunkedArray)
    assert [len(chunk) for chunk in column.chunks] == [3, 0, len(sheets) - 3]
    assert column.type == text and column.to_pylist() == answers


def test_lines_go_with_their_rows():
    chunked = pa.chunked_array([["{}", "{}"], ["{}"]])
    lines = pa.chunked_array([[4], [5, 9]])
    column = crossread.interpret_arrow(chunked, lines=lines)
    assert [json.loads(text)["document"] for text in column.to_pylist()] == [4, 5, 9]


def test_nothing_is_no_answer():
    assert crossread.interpret_arrow(pa.nulls(3)).to_pylist() == [None] * 3
    assert crossread.interpret_arrow(pa.array([], pa.string())).to_pylist() == []
    with pytest.raises(TypeError, match="not int64"):
        crossread.interpret_arrow(pa.array([1, 2]))


def test_a_series_of_pandas_keeps_index_and_name(sheets, answers):
    index = [f"row {number}" for number in range(len(sheets))]
    for gone in [None, float("nan"), pd.NA]:
        given = [gone if sheet is None else sheet for sheet in sheets]
        series = crossread.interpret_pandas(pd.Series(given, index=index, name="night"))
        assert list(series.index) == index and series.name == "night"
        assert series.tolist() == answers


def test_inside_an_engine(sheets, answers, tmp_path):
    datafusion = pytest.importorskip("datafusion")
    parquet = pytest.importorskip("pyarrow.parquet")
    rows = sheets * 50
    table = pa.table({"row": range(len(rows)), "worksheet": pa.array(rows, pa.string())})
    parquet.write_table(table, tmp_path / "night.parquet", row_group_size=500)

    verdicts = datafusion.udf(
        crossread.interpret_arrow, [pa.string()], pa.string(), "immutable", "interpret"
    )
    context = datafusion.SessionContext()
    context.register_udf(verdicts)
    context.register_parquet("night", str(tmp_path / "night.parquet"))
    told = context.sql(
        "select row, interpret(worksheet) as answer from night order by row"
    ).to_arrow_table()
    assert told["answer"].to_pylist() == answers * 50
    releasable = sum('"releasable":true' in (answer or "") for answer in answers)
    (counted,) = context.sql(
        """select count(*) as releasable from night
           where interpret(worksheet) like '%"releasable":true%'"""
    ).to_pylist()
    assert counted == {"releasable": releasable * 50} and releasable > 5
