"""Photographs of codes, simulated: codes by encoders that are not ours (qrencode, dmtx-utils) on the wrappers of cells,
seen by a camera that stands askew and near, in uneven light, out of focus, with noise, with gloss, as JPEG.

A scene is a dict; what it leaves out is as DEFAULTS has it. Lengths are in pixels of the photograph, angles in degrees.
The same scene gives the same picture: every random number comes from its seed.

usage: photographs.py FILE          writes the scene BENCH, four codes in 12 megapixels
"""
import math
import shutil
import subprocess
import sys
import tempfile

MISSING = []
try:
    import numpy as np
    from PIL import Image
except ImportError as error:
    MISSING.append(str(error))
MISSING += [f"{name} is not installed" for name in ("qrencode", "dmtxwrite") if shutil.which(name) is None]

DEFAULTS = {
    "seed": 1, "width": 2000, "height": 1500, "module": 5.0,  # how large a module of a code is
    "tilt": 0.0, "near": 4.0,     # the plane of each code leans by `tilt`, at `near` times the code's side from the lens
    "blur": 0.6, "noise": 3.0,    # standard deviations, in pixels and in steps of 255
    "light": 1.0, "shade": 0.0,   # exposure; the share by which light falls off from one corner to the other
    "gloss": 0.0, "gloss_at": "beside",  # how much white is added, beside the codes or over them
    "ink": 30, "paper": 225,      # grey of dark and light modules
    "busy": 1.0,                  # bench, print and edges round the codes; 0: a plain ground
    "quality": 88, "codes": (),   # (kind, option, text, x, y, turned): x, y as shares of the picture
}
TEXT = "ZZZCB99ABCDEFGB3C0000{:03d}"  # the form of GB/T 34014-2017; invented


def modules(kind, option, text):
    """True where dark, without the quiet zone. `option` is the level of correction, or the encodation."""
    with tempfile.NamedTemporaryFile(suffix=".png") as file:
        if kind == "QR":
            subprocess.run(["qrencode", "-s", "1", "-m", "0", "-l", option, "-o", file.name, text], check=True)
            return np.array(Image.open(file.name).convert("L")) < 128
        subprocess.run(["dmtxwrite", "-d", "3", "-m", "3", "-e", option, "-o", file.name],
                       input=text.encode(), check=True)
        return (np.array(Image.open(file.name).convert("L")) < 128)[4:-3:3, 4:-3:3]


def homography(side, module, turned, tilt, toward, near):
    """From the code's plane (modules from its middle) to pixels about its middle: a camera at near × side."""
    a, t, d = (math.radians(v) for v in (turned, tilt, toward))
    spin = np.array([[math.cos(a), -math.sin(a), 0], [math.sin(a), math.cos(a), 0], [0, 0, 1]])
    axis = np.array([[math.cos(d), -math.sin(d), 0], [math.sin(d), math.cos(d), 0], [0, 0, 1]])
    lean = np.array([[1, 0, 0], [0, math.cos(t), -math.sin(t)], [0, math.sin(t), math.cos(t)]])
    r = axis @ lean @ axis.T @ spin
    away = near * side
    return np.array([[module * r[0, 0], module * r[0, 1], 0], [module * r[1, 0], module * r[1, 1], 0],
                     [r[2, 0] / away, r[2, 1] / away, 1]])


def lay(picture, dark, scene, x, y, turned, toward):
    """One code with its quiet zone and the label that it is printed on; three samples a pixel each way."""
    rows, columns = dark.shape
    quiet = 4
    h = homography(max(rows, columns), scene["module"], turned, scene["tilt"], toward, scene["near"])
    u, v = columns / 2 + quiet, rows / 2 + quiet
    corners = h @ np.array([[-u, u, u, -u], [-v, -v, v, v], [1, 1, 1, 1]])
    corners = corners[:2] / corners[2]
    left, top = np.floor(corners.min(1)).astype(int) - 1
    right, bottom = np.ceil(corners.max(1)).astype(int) + 1
    fine = 3
    px = (np.arange((right - left) * fine) + 0.5) / fine + left
    py = (np.arange((bottom - top) * fine) + 0.5) / fine + top
    i = np.linalg.inv(h)
    below = i[2, 0] * px[None] + i[2, 1] * py[:, None] + i[2, 2]
    c = (i[0, 0] * px[None] + i[0, 1] * py[:, None] + i[0, 2]) / below
    r = (i[1, 0] * px[None] + i[1, 1] * py[:, None] + i[1, 2]) / below
    on_label = (abs(c) < u) & (abs(r) < v)
    c, r = np.floor(c + columns / 2).astype(int), np.floor(r + rows / 2).astype(int)
    in_code = (c >= 0) & (c < columns) & (r >= 0) & (r < rows)
    is_dark = in_code & dark[np.clip(r, 0, rows - 1), np.clip(c, 0, columns - 1)]
    shape = (bottom - top, fine, right - left, fine)
    grey = np.where(is_dark, scene["ink"], scene["paper"]).astype(np.float32)
    share = on_label.reshape(shape).mean((1, 3))
    ink = (grey * on_label).reshape(shape).mean((1, 3))
    x0, y0 = round(x * scene["width"]) + left, round(y * scene["height"]) + top
    there = picture[y0:y0 + bottom - top, x0:x0 + right - left]
    there *= 1 - share[:there.shape[0], :there.shape[1]]
    there += ink[:there.shape[0], :there.shape[1]]


def bench_top(scene, random):
    """Wrappers of cells on a bench: large faces, straight edges, rows of print, grain."""
    width, height, busy = scene["width"], scene["height"], scene["busy"]
    picture = np.full((height, width), 120, np.float32)
    if busy <= 0:
        return picture
    picture += 8 * busy * np.sin(np.arange(height, dtype=np.float32) / 23)[:, None]
    for _ in range(int(60 * busy)):
        w, h = random.integers(width // 40, width // 5), random.integers(height // 60, height // 6)
        x, y = random.integers(0, width - w), random.integers(0, height - h)
        picture[y:y + h, x:x + w] = random.integers(40, 220)
    for _ in range(int(25 * busy)):  # print: strokes on a line
        x, y, size = random.integers(0, width * 3 // 4), random.integers(0, height - 80), random.integers(14, 60)
        tone = random.integers(20, 240)
        for k in range(random.integers(5, 20)):
            at = x + k * size * 2 // 3
            for _ in range(3):
                dx, dy = random.integers(0, size // 2), random.integers(0, size)
                if random.random() < 0.5:
                    picture[y:y + size, at + dx:at + dx + size // 8 + 1] = tone
                else:
                    picture[y + dy:y + dy + size // 8 + 1, at:at + size // 2] = tone
    return picture


def blurred(picture, sigma):
    """Gaussian, one axis after the other; shifted sums suffice for a handful of pixels."""
    if sigma <= 0:
        return picture
    reach = max(1, math.ceil(3 * sigma))
    weights = np.exp(-np.arange(-reach, reach + 1) ** 2 / (2 * sigma * sigma)).astype(np.float32)
    weights /= weights.sum()
    for axis in (0, 1):
        padded = np.pad(picture, [(reach, reach) if k == axis else (0, 0) for k in (0, 1)], mode="edge")
        picture = np.zeros_like(picture)
        for k, weight in enumerate(weights):
            part = padded[k:k + picture.shape[0]] if axis == 0 else padded[:, k:k + picture.shape[1]]
            picture += weight * part
    return picture


def photograph(**what):
    """Grey levels as the sensor had them, 8 bits."""
    scene = DEFAULTS | what
    random = np.random.default_rng(scene["seed"])
    picture = bench_top(scene, random)
    for kind, option, text, x, y, turned in scene["codes"]:
        lay(picture, modules(kind, option, text), scene, x, y, turned, random.uniform(0, 360))
    picture = blurred(picture, scene["blur"])
    height, width = picture.shape
    across, down = np.linspace(0, 1, width, dtype=np.float32), np.linspace(0, 1, height, dtype=np.float32)[:, None]
    picture *= scene["light"] * (1 - scene["shade"] * (across + down) / 2)
    if scene["gloss"] > 0:  # a patch of the lamp, wide and soft
        for _, _, _, x, y, _ in scene["codes"][:1] if scene["gloss_at"] == "beside" else scene["codes"]:
            x, y = (x + 0.12, y + 0.1) if scene["gloss_at"] == "beside" else (x, y)
            picture += 255 * scene["gloss"] * np.exp(-((across - x) / 0.07) ** 2) * np.exp(-((down - y) / 0.07) ** 2)
    picture += np.float32(scene["noise"]) * random.standard_normal(picture.shape, dtype=np.float32)
    return np.clip(picture + 0.5, 0, 255).astype(np.uint8)


def take(path, **what):
    """A JPEG as cameras write it: three channels, each of the same grey under a faint cast."""
    grey = photograph(**what)
    faint = np.stack([grey, grey, grey - (grey >> 4)], axis=-1)
    Image.fromarray(faint, "RGB").save(path, quality=what.get("quality", DEFAULTS["quality"]))


def four(kinds, first, turned=(7, 30, 100, 201)):
    """Four codes, one in each quarter of the picture."""
    options = {"QR": "LMQH", "Data Matrix": "acac"}
    places = ((0.23, 0.26), (0.74, 0.3), (0.27, 0.73), (0.77, 0.71))
    return [(kind, options[kind][k], TEXT.format(first + k), *places[k], turned[k]) for k, kind in enumerate(kinds)]


QR, MATRIX = "QR", "Data Matrix"
BENCH = {"seed": 12, "width": 4000, "height": 3000, "module": 7, "tilt": 15, "blur": 1.2, "noise": 4, "shade": 0.3,
         "codes": four((QR, MATRIX, MATRIX, QR), 1)}

if __name__ == "__main__":
    if MISSING:
        sys.exit(", ".join(MISSING))
    take(sys.argv[1], **BENCH)
