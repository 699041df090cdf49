"""The Python side of beside_python.rs: answers one line with one line, times in CPU seconds."""
import sys, time
from importlib.metadata import version
import krippendorff, numpy as np

folder = sys.argv[1]
grades, cases, resamples = 6, 500, 2000
key, read = (np.fromfile(f"{folder}/{name}", "u1").astype(np.int64) for name in ("key", "read"))
places = np.fromfile(f"{folder}/places", "<u4").astype(np.int64).reshape(resamples, cases)
readings = np.fromfile(f"{folder}/readings", "u1").reshape(50, 200).astype(float)
readings[readings == 255] = np.nan
far = ((np.arange(grades)[:, None] - np.arange(grades)[None]) / (grades - 1)) ** 2
offsets = np.arange(resamples)[:, None] * grades**2


def kappas(drawn):
    codes = (key * grades + read)[drawn] + offsets
    tables = np.bincount(codes.ravel(), minlength=resamples * grades**2)
    tables = tables.reshape(resamples, grades, grades).astype(float)
    chance = tables.sum(2)[:, :, None] * tables.sum(1)[:, None, :] / cases
    return 1 - (far * tables).sum((1, 2)) / (far * chance).sum((1, 2))


def replayed():
    return np.sort(kappas(places))


def drawn():
    own = np.random.default_rng(5).integers(0, cases, (resamples, cases))
    return np.sort(kappas(own))


def alpha():
    return krippendorff.alpha(reliability_data=readings, level_of_measurement="ordinal",
                              value_domain=list(range(grades)))


def timed(work, times):
    work()
    start = time.process_time()
    for _ in range(times):
        work()
    return (time.process_time() - start) / times


for line in sys.stdin:
    match line.split():
        case ["values"]:
            replayed().astype("<f8").tofile(f"{folder}/kappas")
            print(repr(float(alpha())), flush=True)
        case ["versions"]:
            print(f"numpy {version('numpy')}, krippendorff {version('krippendorff')}", flush=True)
        case [name, times]:
            work = {"replayed": replayed, "drawn": drawn, "alpha": alpha}[name]
            print(timed(work, int(times)), flush=True)
