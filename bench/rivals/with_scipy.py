"""with_scipy.py WORK SOUND CHANNELS: a contestant in scipy, see contestant.ts. SOUND is planar 32-bit float, 48 kHz."""

import sys
import time

import numpy
import scipy.fft
import scipy.signal

RATE = 48000


def peaking(frequency, gain_db, q=0.7071067811865476):
    """Audio EQ Cookbook, as a row of second-order sections."""
    w, a = 2 * numpy.pi * frequency / RATE, 10 ** (gain_db / 40)
    alpha = numpy.sin(w) / (2 * q)
    b = [1 + alpha * a, -2 * numpy.cos(w), 1 - alpha * a]
    row = numpy.array([*b, 1 + alpha / a, -2 * numpy.cos(w), 1 - alpha / a])
    return row / row[3]


def biquads(sound):
    sections = numpy.array([peaking(f, 3) for f in (100, 400, 1600, 6400)])
    return lambda: scipy.signal.sosfilt(sections, sound)


def soft_clipper(sound):
    up = scipy.signal.resample_poly
    return lambda: up(numpy.tanh(4 * up(sound, 4, 1, axis=-1)), 1, 4, axis=-1)


def correlation(sound):
    """Full-length cross-correlation of the two channels by one FFT, in 64 bits."""
    first, second = sound.astype(numpy.float64)
    size = scipy.fft.next_fast_len(2 * len(first), real=True)

    def turn():
        product = scipy.fft.rfft(second, size) * numpy.conj(scipy.fft.rfft(first, size))
        return int(numpy.argmax(scipy.fft.irfft(product, size)))

    return turn


works = {"biquads": biquads, "softClipper": soft_clipper, "correlation": correlation}
name, path, channels = sys.argv[1], sys.argv[2], int(sys.argv[3])
sound = numpy.fromfile(path, dtype=numpy.float32).reshape(channels, -1)
turn = works[name](sound)


def timed(turns):
    began = time.process_time()
    for _ in range(turns):
        turn()
    return time.process_time() - began


timed(1)
turns = max(1, round(0.06 / timed(1)))
# A correlation is counted per sample of one of its two signals, as everywhere here.
samples = sound.shape[1] if name == "correlation" else sound.size
print("ready", flush=True)
for line in sys.stdin:
    print(1e9 * timed(turns) / (turns * samples), flush=True)
