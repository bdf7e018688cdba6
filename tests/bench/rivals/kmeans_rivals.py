"""scikit-learn's KMeans and MiniBatchKMeans on every pixel of a picture, in CIELAB.

    python kmeans_rivals.py FILE [--tones 8]

For each: seconds of the processor (all threads), peak memory of its process, and the sum of squares over all pixels in
Oklab with a and b doubled, per pixel, as `cargo bench --bench tones` has it, and in CIELAB. Linux and macOS.
"""

import argparse
import multiprocessing
import resource
import sys
import time

import numpy as np
from PIL import Image

# IEC 61966-2-1, with the white of D65.
TO_XYZ = np.array(
    [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
)
WHITE = TO_XYZ.sum(axis=1)
# Bjoern Ottosson 2020, A perceptual color space for image processing.
TO_LMS = np.array(
    [
        [0.4122214708, 0.5363325363, 0.0514459929],
        [0.2119034982, 0.6806995451, 0.1073969566],
        [0.0883024619, 0.2817188376, 0.6299787005],
    ]
)
TO_OKLAB = np.array(
    [
        [0.2104542553, 0.7936177850, -0.0040720468],
        [1.9779984951, -2.4285922050, 0.4505937099],
        [0.0259040371, 0.7827717662, -0.8086757660],
    ]
)
SLICE = 1_000_000


def linear(codes):
    v = codes / 255.0
    return np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)


def lab_of_light(rgb):
    t = rgb @ TO_XYZ.T / WHITE
    f = np.where(t > (6 / 29) ** 3, np.cbrt(t), t / (3 * (6 / 29) ** 2) + 4 / 29)
    x, y, z = f.T
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=1)


def light_of_lab(lab):
    y = (lab[:, 0] + 16) / 116
    f = np.stack([y + lab[:, 1] / 500, y, y - lab[:, 2] / 200], axis=1)
    t = np.where(f > 6 / 29, f**3, 3 * (6 / 29) ** 2 * (f - 4 / 29))
    return (t * WHITE) @ np.linalg.inv(TO_XYZ).T


def grouping(rgb):
    return np.cbrt(rgb @ TO_LMS.T) @ TO_OKLAB.T * [1.0, 2.0, 2.0]


def pixels(file):
    return np.asarray(Image.open(file).convert("RGB")).reshape(-1, 3)


def slices(codes):
    return (codes[at : at + SLICE] for at in range(0, len(codes), SLICE))


def squares(codes, space, centres):
    """Mean over all pixels of the squared distance from the nearest centre."""
    total = 0.0
    for some in slices(codes):
        at = space(linear(some))
        total += min_squares(at, centres).sum()
    return total / len(codes)


def min_squares(at, centres):
    least = np.full(len(at), np.inf)
    for centre in centres:
        np.minimum(least, ((at - centre) ** 2).sum(axis=1), out=least)
    return least


def peak_mb():
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak / (1 << 20 if sys.platform == "darwin" else 1 << 10)


def run(name, file, tones, answer):
    from sklearn.cluster import KMeans, MiniBatchKMeans

    codes = pixels(file)
    watch = time.process_time()
    lab = np.concatenate([lab_of_light(linear(some)).astype(np.float32) for some in slices(codes)])
    rival = {"KMeans": KMeans, "MiniBatchKMeans": MiniBatchKMeans}[name]
    found = rival(n_clusters=tones, n_init=1, random_state=0).fit(lab)
    answer.put((time.process_time() - watch, peak_mb(), found.cluster_centers_.astype(float)))


def main():
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("file")
    ask.add_argument("--tones", type=int, default=8)
    asked = ask.parse_args()
    processes = multiprocessing.get_context("spawn")
    codes = pixels(asked.file)
    for name in ["KMeans", "MiniBatchKMeans"]:
        answer = processes.Queue()
        child = processes.Process(target=run, args=(name, asked.file, asked.tones, answer))
        child.start()
        seconds, peak, lab = answer.get()
        child.join()
        print(
            f"{name}: {seconds:.1f} s, {peak:.0f} MB; sum of squares a pixel, Oklab with a, b doubled: "
            f"{squares(codes, grouping, grouping(light_of_lab(lab))):.6f}, "
            f"CIELAB: {squares(codes, lab_of_light, lab):.3f}",
            flush=True,
        )


if __name__ == "__main__":
    main()
