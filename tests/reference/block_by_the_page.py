"""Reads packed blocks by docs/blocks.md alone and compares every cell with what was packed.

usage: block_by_the_page.py PRINT_BLOCKS     (what it prints: see print_blocks.c)
"""
import ctypes
import ctypes.util
import subprocess
import sys

MASK = (1 << 64) - 1
LIBRARY = ctypes.util.find_library("zstd")
if LIBRARY is None:
    print("no Zstandard library: skipped")
    sys.exit(77)
ZSTD = ctypes.CDLL(LIBRARY)
ZSTD.ZSTD_decompress.restype = ctypes.c_size_t


def signed(number):
    number &= MASK
    return number - (1 << 64) if number >> 63 else number


def xxh64(data, seed):
    """xxHash specification, section XXH64."""
    p1, p2, p3 = 0x9E3779B185EBCA87, 0xC2B2AE3D27D4EB4F, 0x165667B19E3779F9
    p4, p5 = 0x85EBCA77C2B2AE63, 0x27D4EB2F165667C5

    def turn(x, n):
        return ((x << n) | (x >> (64 - n))) & MASK

    def lap(lane, word):
        return turn((lane + word * p2) & MASK, 31) * p1 & MASK

    at, size = 0, len(data)
    if size >= 32:
        lanes = [(seed + p1 + p2) & MASK, (seed + p2) & MASK, seed, (seed - p1) & MASK]
        while size - at >= 32:
            for k in range(4):
                lanes[k] = lap(lanes[k], int.from_bytes(data[at:at + 8], "little"))
                at += 8
        h = sum(turn(lane, n) for lane, n in zip(lanes, (1, 7, 12, 18))) & MASK
        for lane in lanes:
            h = ((h ^ lap(0, lane)) * p1 + p4) & MASK
    else:
        h = (seed + p5) & MASK
    h = (h + size) & MASK
    while size - at >= 8:
        h = (turn(h ^ lap(0, int.from_bytes(data[at:at + 8], "little")), 27) * p1 + p4) & MASK
        at += 8
    if size - at >= 4:
        h = (turn(h ^ int.from_bytes(data[at:at + 4], "little") * p1 & MASK, 23) * p2 + p3) & MASK
        at += 4
    for byte in data[at:]:
        h = turn(h ^ byte * p5 & MASK, 11) * p1 & MASK
    h = (h ^ h >> 33) * p2 & MASK
    h = (h ^ h >> 29) * p3 & MASK
    return h ^ h >> 32


class Bytes:
    def __init__(self, data):
        self.data, self.at = data, 0

    def take(self, count):
        assert self.at + count <= len(self.data)
        self.at += count
        return self.data[self.at - count:self.at]

    def byte(self):
        return self.take(1)[0]

    def varint(self):
        value = shift = 0
        while True:
            byte = self.byte()
            value |= (byte & 0x7F) << shift
            shift += 7
            if byte < 0x80:
                return value

    def signed_varint(self):
        u = self.varint()
        return -((u + 1) // 2) if u % 2 else u // 2


CODECS = {0: 0, 1: 0, 2: 0, "plain plane": 0, "orders": set()}


def unpack_cell(source, count, width):
    words = -(-(-(-count // 4) * width) // 64)
    data = source.take(32 * words)
    lanes = [sum(int.from_bytes(data[8 * (4 * j + lane):8 * (4 * j + lane) + 8], "little") << 64 * j
                 for j in range(words)) for lane in range(4)]
    return [lanes[i % 4] >> (i // 4 * width) & ((1 << width) - 1) for i in range(count)]


def plane(source, count):
    size = source.varint()
    data = source.take(size)
    if size == count:
        CODECS["plain plane"] += 1
        return data
    out = ctypes.create_string_buffer(count)
    assert ZSTD.ZSTD_decompress(out, ctypes.c_size_t(count), data, ctypes.c_size_t(size)) == count
    return out.raw


def differences(source, codec, count):
    cells = [min(256, count - at) for at in range(0, count, 256)]
    bases, widths, base = [], [], 0
    for _ in cells:
        base += source.signed_varint()
        bases.append(base)
        widths.append(source.byte() if codec == 1 else None)
    if codec == 1:
        above = [u for n, width in zip(cells, widths) for u in unpack_cell(source, n, width)]
    else:
        planes = [plane(source, count) for _ in range(source.byte())]
        above = [sum(p[k] << 8 * i for i, p in enumerate(planes)) for k in range(count)]
    return [bases[k // 256] + u for k, u in enumerate(above)]


def sequence(source, count):
    head = source.byte()
    codec, order = head & 15, head >> 4
    CODECS[codec] += 1
    if codec == 0:
        first, step = source.signed_varint(), source.signed_varint()
        return [signed(first + k * step) for k in range(count)]
    CODECS["orders"].add(order)
    starts = [source.signed_varint() for _ in range(order)]
    numbers = differences(source, codec, count)
    if order == 0:
        return [signed(r) for r in numbers]
    value, step = starts[0], starts[1] if order == 2 else 0
    for k, r in enumerate(numbers):
        step = step + r if order == 2 else r
        value += step
        numbers[k] = signed(value)
    return numbers


def column(source, count):
    inner = Bytes(source.take(source.varint()))
    flags, d = inner.byte(), inner.byte()
    d = d - 256 if d > 127 else d
    assert flags < 8
    kinds = sequence(inner, count) if flags & 1 else [1] * count
    decimals = sequence(inner, count) if flags & 2 else [d] * count
    mantissas = sequence(inner, count)
    assert inner.at == len(inner.data)
    cells = []
    for kind, own, mantissa in zip(kinds, decimals, mantissas):
        if kind not in (1, 2):
            cells.append((kind, 0, 0))
            continue
        if flags & 4:
            scale = 10 ** (d - own)
            assert mantissa % scale == 0
            mantissa //= scale
        cells.append((kind, mantissa, own))
    return cells


def block(data):
    form, columns = data[0], data[1]
    count, size = int.from_bytes(data[2:4], "little"), int.from_bytes(data[4:8], "little")
    assert form == 1 and size == len(data)
    assert xxh64(data[16:], int.from_bytes(data[:8], "little")) == int.from_bytes(data[8:16], "little")
    source = Bytes(data[16:])
    cells = [column(source, count) for _ in range(columns)]
    texts = source.data[source.at:].decode().split("\n")
    rows = []
    for k in range(count):
        row = []
        for c in range(columns):
            kind, mantissa, own = cells[c][k]
            row.append(texts.pop(0) if kind == 4 else f"{kind}:{mantissa}:{own}")
        rows.append(row)
    assert texts == [""]
    return rows


def main():
    assert xxh64(b"", 0) == 0xEF46DB3751D8E999
    printed = subprocess.run([sys.argv[1]], check=True, capture_output=True, text=True).stdout.splitlines()
    passed = failed = at = 0
    while at < len(printed):
        end = printed.index("end", at)
        want = [line.split() for line in printed[at + 1:end]]
        got = block(bytes.fromhex(printed[at].split()[1]))
        passed += got == want
        failed += got != want
        at = end + 1
    met = all(CODECS[codec] > 0 for codec in (0, 1, 2, "plain plane")) and CODECS["orders"] == {0, 1, 2}
    print("passed" if met else "FAILED", " every codec and order was met:", CODECS)
    passed, failed = passed + met, failed + (not met)
    print(f"{passed} passed, {failed} failed, 0 skipped")
    return 1 if failed or passed < 100 else 0


sys.exit(main())
