"""Makes reference.json: figures from the libraries named in LIBRARIES, for this crate's tests.

    python3 -m venv reference
    reference/bin/pip install numpy==1.26.4 scipy==1.12.0 statsmodels==0.15.0 \
        scikit-learn==1.9.1 krippendorff==0.9.0 mpmath==1.4.1
    reference/bin/python reference.py > reference.json

Draws are made here from the description of the stream alone, not with the crate's generator.
"""
import json, math, struct
import krippendorff, mpmath, numpy as np
from importlib.metadata import version
from scipy import stats
from sklearn.metrics import cohen_kappa_score
from statsmodels.stats.inter_rater import cohens_kappa, fleiss_kappa
from statsmodels.stats.proportion import proportion_confint

LIBRARIES = ["numpy", "scipy", "statsmodels", "scikit-learn", "krippendorff", "mpmath"]
# Tables of the package vcd for R (names of its data sets from memory): MSPatients, New Orleans, and
# SexualFun, Hout and others 1987.
TABLES = {
    "vcd_patients": [[5, 3, 0, 0], [3, 11, 4, 0], [2, 13, 3, 4], [1, 2, 4, 14]],
    "vcd_couples": [[7, 7, 2, 3], [2, 8, 3, 7], [1, 5, 4, 9], [2, 8, 9, 14]],
    "overcalls": [[22, 12, 6, 0, 0, 0], [0, 4, 8, 2, 0, 0], [0, 0, 7, 8, 1, 0],
                  [0, 0, 0, 8, 10, 0], [0, 0, 0, 0, 6, 10], [0, 0, 0, 0, 0, 16]],
    "sixteen_grades": [[3 * (i == j) + (abs(i - j) == 1) + (i + 2 * j == 20) for j in range(16)]
                       for i in range(16)],
}
SHARES = [(0, 1), (1, 1), (0, 10), (10, 10), (3, 7), (27, 35), (64, 66), (51, 54), (89, 90),
          (1, 1000), (500, 1000), (3, 1_000_000), (999_999, 1_000_000)]


def chacha8(seed, case, purpose):
    """Words of the stream, in order."""
    key = list(struct.unpack("<8I", struct.pack("<Q", seed) + b"XMEX0001" + bytes(16)))
    stream, block = case << 16 | purpose, 0
    while True:
        start = [0x61707865, 0x3320646E, 0x79622D32, 0x6B206574] + key + [
            block & 0xFFFFFFFF, block >> 32, stream & 0xFFFFFFFF, stream >> 32]
        x = start[:]
        def quarter(a, b, c, d):
            for to, other, turn, by in ((a, b, d, 16), (c, d, b, 12), (a, b, d, 8), (c, d, b, 7)):
                x[to] = (x[to] + x[other]) & 0xFFFFFFFF
                y = x[turn] ^ x[to]
                x[turn] = (y << by | y >> (32 - by)) & 0xFFFFFFFF
        for _ in range(4):
            for a in range(4):
                quarter(a, 4 + a, 8 + a, 12 + a)
            for a in range(4):
                quarter(a, 4 + (a + 1) % 4, 8 + (a + 2) % 4, 12 + (a + 3) % 4)
        yield from ((a + b) & 0xFFFFFFFF for a, b in zip(x, start))
        block += 1


def below(words, n):
    while True:
        product = next(words) * n
        if product & 0xFFFFFFFF >= (2**32 - n) % n:
            return product >> 32


class Replay(np.random.Generator):
    """A generator that gives back what was drawn before."""
    def __init__(self, drawn):
        super().__init__(np.random.PCG64(0))
        self.drawn = drawn
    def integers(self, low, high=None, size=None, **_):
        taken, self.drawn = self.drawn[:math.prod(size)], self.drawn[math.prod(size):]
        return np.array(taken).reshape(size)


def student(degrees):
    """The 97.5 % quantile of Student's t; that of scipy 1.12.0 is off by up to 8e-9."""
    mpmath.mp.dps = 30
    above = lambda t: mpmath.betainc(degrees / 2, 0.5, 0, degrees / (degrees + t * t), regularized=True) / 2
    return float(mpmath.findroot(lambda t: above(t) - mpmath.mpf("0.025"), stats.t.ppf(0.975, degrees)))


def table_figures(table):
    n, k = np.array(table), len(table)
    rows, cols = np.repeat(np.indices((k, k)).reshape(2, -1), n.ravel(), axis=1)
    result = {"table": table, "kappa": {}}
    for name, wt in (("none", None), ("linear", "linear"), ("quadratic", "quadratic")):
        got = cohens_kappa(n, wt=wt)
        learn = cohen_kappa_score(rows, cols, weights=wt, labels=range(k))
        assert abs(got.kappa - learn) < 1e-12
        result["kappa"][name] = {"kappa": got.kappa, "ase": got.std_kappa, "ase_h0": got.std_kappa0}
    bias = []
    for grade in [None, *range(k)]:
        d = (cols - rows) if grade is None else (cols - rows)[rows == grade]
        mean = d.mean() if len(d) else None
        spread = d.std(ddof=1) / math.sqrt(len(d)) if len(d) > 1 else 0
        reach = student(len(d) - 1) * spread if spread else 0
        interval = [mean - reach, mean + reach] if spread else None
        bias.append({"n": len(d), "mean": mean, "interval": interval})
    return result | {"bias": bias}


def resampled(rows, cols, k, resamples, seed, series):
    n = len(rows)
    words = chacha8(seed, series, 10)
    drawn = [below(words, n) for _ in range(n * resamples)]
    far = (np.arange(k)[:, None] - np.arange(k)) ** 2
    def kappa(a, b):
        t = np.bincount(a * k + b, minlength=k * k).reshape(k, k)
        return 1 - (far * t).sum() / ((far * np.outer(t.sum(1), t.sum(0))).sum() / len(a))
    def run(method):
        got = stats.bootstrap((np.array(rows), np.array(cols)), kappa, paired=True, vectorized=False,
                              n_resamples=resamples, method=method, random_state=Replay(drawn))
        return list(got.confidence_interval), got.bootstrap_distribution
    percentile, values = run("percentile")
    return {"rows": rows, "cols": cols, "grades": k, "resamples": resamples, "seed": seed,
            "series": series, "first_places": drawn[:20], "values_sum": math.fsum(values),
            "percentile95": percentile, "bca95": run("BCa")[0]}


def main():
    pairs = np.random.default_rng(7)
    key = pairs.choice(6, 60, p=[.45, .1, .15, .12, .1, .08])
    read = np.clip(key + pairs.choice([-1, 0, 0, 0, 1], 60), 0, 5)
    few = ([0, 0, 1, 2, 3, 4, 5, 2, 1, 0, 4, 3], [0, 1, 1, 2, 3, 5, 5, 1, 1, 0, 4, 2])
    key11 = list(range(6)) * 9
    panel = [[int(g) if pairs.random() > .15 else None
              for g in np.clip(np.array(key11) + pairs.choice([-1, 0, 0, 0, 1], 54), 0, 5)]
             for _ in range(11)]
    coded = np.array([[np.nan if g is None else g for g in r] for r in panel], float)
    full = [[g or 0 for g in r] for r in panel]
    counts = np.array([np.bincount([r[i] for r in full], minlength=6) for i in range(54)])
    print(json.dumps({
        "libraries": {name: version(name) for name in LIBRARIES},
        "tables": {name: table_figures(table) for name, table in TABLES.items()},
        "shares": [{"hits": x, "cases": n,
                    "wilson90": proportion_confint(x, n, 0.1, "wilson"),
                    "wilson95": proportion_confint(x, n, 0.05, "wilson"),
                    "clopper_pearson90": proportion_confint(x, n, 0.1, "beta"),
                    "clopper_pearson95": proportion_confint(x, n, 0.05, "beta")}
                   for x, n in SHARES],
        "panel": {"readers": panel,
                  **{kind: krippendorff.alpha(coded, level_of_measurement=kind,
                                              value_domain=list(range(6)))
                     for kind in ("nominal", "ordinal", "interval")},
                  "missing_as_0_fleiss": fleiss_kappa(counts)},
        "resampled": [resampled(key.tolist(), read.tolist(), 6, 2000, 42, 0),
                      resampled(*few, 6, 1999, 2**64 - 1, 7)],
    }, indent=1, default=float))


main()
