"""Makes the HEIC files by which decoders were compared, and compares pictures with libheif's.

Wants heif-enc (Debian: libheif-examples) and the Python packages pillow, pillow-heif, numpy, scikit-image.

    python3 heic.py make PHOTO.png FOLDER      files: 8 bit, full chroma, BT.709 limited, lossless, and grids of tiles,
                                               plain, turned and mirrored
    python3 heic.py compare FILE.heic PPM      mean, 95th and largest CIEDE2000 of a decoder's 16-bit PPM (P6)
"""

import struct
import subprocess
import sys
from pathlib import Path

from PIL import Image


def boxes(data, start, end):
    while start < end:
        size, kind = struct.unpack(">I4s", data[start : start + 8])
        yield kind, start + 8, start + size
        start += size


def find(data, path, start=0, end=None):
    for kind, inner, close in boxes(data, start, len(data) if end is None else end):
        if kind == path[0]:
            if len(path) == 1:
                return inner, close
            return find(data, path[1:], inner + 4 if kind == b"meta" else inner, close)
    raise ValueError(path)


def box(kind, data):
    return struct.pack(">I4s", len(data) + 8, kind) + data


def full(kind, version, flags, data):
    return box(kind, struct.pack(">I", version << 24 | flags) + data)


def tile(picture, folder):
    png, heic = folder / "tile.png", folder / "tile.heic"
    picture.save(png)
    subprocess.check_call(["heif-enc", "-q", "85", png, "-o", heic], stdout=subprocess.DEVNULL)
    data = heic.read_bytes()
    start, end = find(data, [b"meta", b"iprp", b"ipco"])
    config = next(data[a - 8 : z] for kind, a, z in boxes(data, start, end) if kind == b"hvcC")
    start, end = find(data, [b"mdat"])
    return config, data[start:end]


def grid(picture, out, side, turned=None, mirrored=None):
    """A grid item over tiles, as phones write it (ISO/IEC 23008-12)."""
    width, height = picture.size
    columns, rows = -(-width // side), -(-height // side)
    whole = Image.new("RGB", (columns * side, rows * side))
    whole.paste(picture)
    tiles = [
        tile(whole.crop((c * side, r * side, (c + 1) * side, (r + 1) * side)), out.parent)
        for r in range(rows)
        for c in range(columns)
    ]
    count = len(tiles)
    colour = box(b"colr", b"nclx" + struct.pack(">HHHB", 1, 13, 6, 128))
    size = lambda w, h: full(b"ispe", 0, 0, struct.pack(">II", w, h))
    properties = [tiles[0][0], colour, size(side, side), size(width, height)]
    of_grid = [4, 2]
    for kind, value in ((b"irot", turned), (b"imir", mirrored)):
        if value is not None:
            properties.append(box(kind, bytes([value])))
            of_grid.append(len(properties) | 0x80)
    shape = struct.pack(">BBBBHH", 0, 0, rows - 1, columns - 1, width, height)
    links = struct.pack(">I", count + 1)
    for item in range(1, count + 1):
        links += struct.pack(">HB", item, 3) + bytes([0x81, 2, 3])
    links += struct.pack(">HB", count + 1, len(of_grid)) + bytes(of_grid)
    entry = lambda i: full(
        b"infe", 2, int(i <= count), struct.pack(">HH4s", i, 0, b"hvc1" if i <= count else b"grid") + b"\0"
    )
    infos = full(b"iinf", 0, 0, struct.pack(">H", count + 1) + b"".join(map(entry, range(1, count + 2))))
    sources = struct.pack(">HH", count + 1, count) + b"".join(struct.pack(">H", i) for i in range(1, count + 1))
    fixed = full(b"hdlr", 0, 0, struct.pack(">I4s12x", 0, b"pict") + b"\0") + full(
        b"pitm", 0, 0, struct.pack(">H", count + 1)
    )
    parts = [data for _, data in tiles] + [shape]

    def meta(base):
        where = struct.pack(">BBH", 0x44, 0, count + 1)
        for item, data in enumerate(parts, 1):
            where += struct.pack(">HHHII", item, 0, 1, base, len(data))
            base += len(data)
        described = box(b"iprp", box(b"ipco", b"".join(properties)) + full(b"ipma", 0, 0, links))
        return full(
            b"meta", 0, 0, fixed + full(b"iloc", 0, 0, where) + infos + full(b"iref", 0, 0, box(b"dimg", sources)) + described
        )

    head = box(b"ftyp", b"heic" + struct.pack(">I", 0) + b"mif1heic")
    base = len(head) + len(meta(0)) + 8
    out.write_bytes(head + meta(base) + box(b"mdat", b"".join(parts)))


def make(photo, folder):
    folder.mkdir(parents=True, exist_ok=True)
    plain = {
        "q90": ["-q", "90"],
        "full-chroma": ["-q", "90", "-p", "chroma=444"],
        "bt709-limited": ["-q", "90", "--matrix_coefficients", "1", "--full_range_flag", "0"],
        "lossless": ["-L", "-p", "chroma=444", "--matrix_coefficients=0"],
    }
    for name, how in plain.items():
        subprocess.check_call(["heif-enc", *how, photo, "-o", folder / f"{name}.heic"], stdout=subprocess.DEVNULL)
    picture = Image.open(photo).convert("RGB").resize((1500, 1200))
    grid(picture, folder / "grid.heic", 512)
    grid(picture, folder / "grid-turned.heic", 512, turned=3)
    grid(picture, folder / "grid-mirrored.heic", 512, turned=1, mirrored=1)


def compare(heic, ppm):
    import numpy
    import pillow_heif
    from skimage.color import deltaE_ciede2000, rgb2lab

    ours = numpy.asarray(pillow_heif.open_heif(heic))[..., :3] / 255
    _, size, _, samples = ppm.read_bytes().split(b"\n", 3)
    width, height = map(int, size.split())
    theirs = numpy.frombuffer(samples, ">u2").reshape(height, width, 3) / 65535
    off = deltaE_ciede2000(rgb2lab(theirs), rgb2lab(ours))
    print(f"{heic.name}: mean {off.mean():.3f}, 95th {numpy.percentile(off, 95):.2f}, largest {off.max():.2f}")


if __name__ == "__main__":
    verb, one, other = sys.argv[1], Path(sys.argv[2]), Path(sys.argv[3])
    {"make": make, "compare": compare}[verb](one, other)
