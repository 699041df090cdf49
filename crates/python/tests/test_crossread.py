"""What a program in Python may rely on."""

import json
import pickle
import threading

import pytest

import crossread


def test_every_worked_case_has_the_committed_answer(examples):
    for name, (worksheet, committed) in examples.items():
        assert crossread.interpret(worksheet, indent=True) + "\n" == committed, name
        assert crossread.interpret(worksheet.encode(), indent=True) + "\n" == committed, name
        on_a_line = crossread.interpret(worksheet)
        assert "\n" not in on_a_line
        assert json.loads(on_a_line) == json.loads(committed), name


def test_faults_are_raised_all_at_once_with_their_places():
    with pytest.raises(crossread.Faults) as raised:
        crossread.interpret('{"format": "crossread.worksheet/1", "id": 7}', source="night", line=3)
    report = json.loads(raised.value.report)
    assert (report["format"], report["input"], report["document"]) == ("crossread.fault/1", "night", 3)
    faults = raised.value.faults
    assert faults == report["faults"] and len(faults) > 3
    places = [(fault["pointer"], fault["line"], fault["column"]) for fault in faults]
    assert ("/id", 1, 43) in places
    assert "1:43: " in str(raised.value)
    assert isinstance(raised.value, ValueError)


@pytest.mark.parametrize("document", ["", "{}", "[]", "null", "\x00", b"\xff\xfe", b"", "7" * 100_000])
def test_what_is_no_worksheet_is_refused(document):
    with pytest.raises(crossread.Faults):
        crossread.interpret(document)


def test_a_document_too_large_is_refused():
    with pytest.raises(crossread.Faults) as raised:
        crossread.interpret(b" " * (64 * 1024 * 1024 + 1))
    assert [fault["code"] for fault in raised.value.faults] == ["document-too-large"]


@pytest.mark.parametrize("document", [None, 7, {}, ["{}"], bytearray(b"{}")])
def test_what_is_no_text_is_misuse(document):
    with pytest.raises(TypeError):
        crossread.interpret(document)
    if document is not None:
        with pytest.raises(TypeError):
            crossread.interpret_many([document])


def test_text_that_no_file_holds_is_misuse():
    with pytest.raises(UnicodeEncodeError):
        crossread.interpret('{"id": "\ud800"}')


def test_check_tells_what_a_document_is(examples, dog):
    worksheet, answer = examples["clean-run"]
    assert crossread.check(worksheet).startswith("worksheet ")
    assert crossread.check(answer).startswith("interpretation of worksheet ")
    assert crossread.check(dog).startswith("protocol dog-routine ")
    with pytest.raises(crossread.Faults):
        crossread.check(dog, kind="worksheet")
    with pytest.raises(ValueError, match="kind is"):
        crossread.check(dog, kind="tax return")


def test_local_rules_are_used_by_those_who_have_them(examples, dog):
    local = dog.replace('"version": "1.0.0"', '"version": "local"', 1)
    worksheet = examples["clean-run"][0].replace('"version": "1.0.0"', '"version": "local"', 1)
    rules = crossread.Rules(local)
    assert ("dog-routine", "local") in [protocol[:2] for protocol in rules.protocols()]
    answer = json.loads(crossread.interpret(worksheet, rules))
    assert answer["protocol"]["version"] == "local"
    for others in [None, crossread.Rules()]:
        with pytest.raises(crossread.Faults):
            crossread.interpret(worksheet, others)
    again = pickle.loads(pickle.dumps(rules))
    assert json.loads(crossread.interpret(worksheet, again)) == answer


def test_a_protocol_at_fault_makes_no_rules(dog):
    with pytest.raises(crossread.Faults) as raised:
        crossread.Rules(dog, "{}")
    assert json.loads(raised.value.report)["input"] == "<protocol 2>"


def test_many_are_answered_in_order_and_nothing_frees_nobody(examples):
    sheets = [worksheet for worksheet, _ in examples.values()]
    answers = crossread.interpret_many([sheets[0], None, "{}", *sheets])
    assert answers[0] == crossread.interpret(sheets[0])
    assert answers[1] is None
    assert json.loads(answers[2])["format"] == "crossread.fault/1"
    assert "releasable" not in answers[2]
    assert answers[3:] == [crossread.interpret(sheet) for sheet in sheets]
    assert crossread.interpret_many([]) == []
    faulty = crossread.interpret_many(["{}", "[]"], source="<stdin>", lines=[7, 9])
    places = [(json.loads(text)["input"], json.loads(text)["document"]) for text in faulty]
    assert places == [("<stdin>", 7), ("<stdin>", 9)]
    with pytest.raises(ValueError, match="as many lines"):
        crossread.interpret_many(["{}", "[]"], lines=[7])
    with pytest.raises(ValueError, match="counted from 1"):
        crossread.interpret_many(["{}", "[]"], lines=[1, 0])
    with pytest.raises(ValueError, match="counted from 1"):
        crossread.interpret("{}", line=0)
    with pytest.raises(OverflowError):
        crossread.interpret("{}", line=-1)


def test_other_threads_run_meanwhile(examples):
    sheets = [examples["three-donors-compared"][0]] * 20_000
    done, ticks = threading.Event(), 0

    def work():
        crossread.interpret_many(sheets)
        done.set()

    worker = threading.Thread(target=work)
    worker.start()
    while not done.wait(0.001):
        ticks += 1
    worker.join()
    # If the lock were held the whole time, this thread would come to its turn once or twice.
    assert ticks > 20


def test_two_answers_are_compared_and_findings_named(examples, dog):
    local = json.loads(dog)
    local["version"] = "stricter"
    worksheet = json.loads(examples["clean-run"][0])
    old = crossread.interpret(json.dumps(worksheet))
    assert crossread.compare(old, old) is None
    # By these rules its samples were too old.
    for exposure in ["exposed", "naive"]:
        local["sample_max_hours"][exposure]["value"] = {"room": 1, "fridge": 1}
    worksheet["protocol"]["version"] = "stricter"
    new = crossread.interpret(json.dumps(worksheet), crossread.Rules(json.dumps(local)))
    changes = json.loads(crossread.compare(old, new))
    assert changes["protocol_differs"]
    (pair,) = changes["pairs"]
    assert (pair["old"], pair["new"]) == ("compatible", "invalid")
    assert [found["slug"] for found in pair["findings"] if found["decides"]] == ["sample-too-old"]
    with pytest.raises(ValueError, match="the old document is no interpretation"):
        crossread.compare("{}", new)


def test_words_and_schemas():
    (meaning,) = crossread.explain("rouleaux-dispersed")
    assert meaning["kind"] == "finding" and meaning["sources"]
    with pytest.raises(KeyError, match="did you mean rouleaux-dispersed"):
        crossread.explain("rouleaux-disperse")
    schema = json.loads(crossread.schema("interpretation"))
    assert schema["$id"] == "urn:crossread:schema:interpretation:1"
    with pytest.raises(KeyError):
        crossread.schema("nonesuch")
    assert crossread.__version__
