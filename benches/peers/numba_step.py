#!/usr/bin/env python3
"""Cell updates per second of a small kernel written by hand in Python with numba: a measure for `cargo bench --bench step`.

How to run, on a machine with nothing else to do, one right after the other:

    python3 -m venv target/peers && target/peers/bin/pip install numba numpy
    target/peers/bin/python benches/peers/numba_step.py
    cargo bench --bench step -- plane

The first takes about two minutes, its translation included; `--small` checks the kernels on small lattices and times nothing.

What it is: nine velocities in the plane, two lattices (each step pulls from one and writes the other), single precision as deviations from
rest, rows shared by the threads, fast mathematics, the row loop a function of its own so that the compiler knows its arrays apart. Two collisions:

- `relaxed`: one relaxation rate for everything (BGK), the least work that is still a flow;
- `moments`: what a cell of the Rust code does in the plane, formula by formula, with the subgrid model and without.

What it leaves out, all of which the Rust code does in the time that its bench shows: walls and forces on them, inlet and outlet; here the
lattice only closes on itself along and across the flow. Nor does it stream in place or do several steps in one go through memory.

Every kernel has to show that it is right before it is timed: a uniform stream stays uniform, and a shear wave decays at the rate of its viscosity
(with the subgrid model a strong one also at the rate of the eddy viscosity).
Not part of the checks that every change has to pass: it needs packages from outside, and its numbers are those of a machine.
"""

import argparse
import math
import statistics
import time

import llvmlite.binding
import numba
import numpy as np

F = np.float32

# Cells across and along the flow.
SIZES = [(256, 1024), (512, 2048), (2048, 8192)]
SAMPLES = 9
# Cell updates of a sample, at least.
UPDATES = 1 << 26

# Velocities: rest, then opposites side by side.
ALONG = (0, 1, -1, 0, 0, 1, -1, 1, -1)
ACROSS = (0, 0, 0, 1, -1, 1, -1, -1, 1)
WEIGHTS = (4 / 9, 1 / 9, 1 / 9, 1 / 9, 1 / 9, 1 / 36, 1 / 36, 1 / 36, 1 / 36)

VISCOSITY = 0.002

# Subgrid model: constant, and the cell Reynolds number below which it is off.
SMAGORINSKY = 0.1
THRESHOLD = 2.0

THIRD, SIXTH, NINTH, HALF, QUARTER = F(1 / 3), F(1 / 6), F(1 / 9), F(0.5), F(0.25)
ONE, TWO, FOUR = F(1), F(2), F(4)
W0, W1, W5 = F(4 / 9), F(1 / 9), F(1 / 36)
THREE, FOUR_AND_HALF, ONE_AND_HALF = F(3), F(4.5), F(1.5)

# Eighteen arrays in a loop: the compiler would rather not ask whether they overlap, and then uses no vector units. Asked, it does.
for option in ("-runtime-memory-check-threshold=400", "-memory-check-merge-threshold=400"):
    llvmlite.binding.set_option("", option)

row_kernel = numba.njit(fastmath=True, error_model="numpy")


@row_kernel
def relaxed(f0, f1, f2, f3, f4, f5, f6, f7, f8, g0, g1, g2, g3, g4, g5, g6, g7, g8, rates):
    """A row with one relaxation rate; `f` has arrived, `g` leaves."""
    rate = rates[0]
    keep = ONE - rate
    for x in range(g0.size):
        a1, a2, a3, a4 = f1[x], f2[x], f3[x], f4[x]
        a5, a6, a7, a8 = f5[x], f6[x], f7[x], f8[x]
        mass = f0[x] + ((a1 + a2) + (a3 + a4)) + ((a5 + a6) + (a7 + a8))
        u = (a1 - a2) + (a5 - a6) + (a7 - a8)
        v = (a3 - a4) + (a5 - a6) - (a7 - a8)
        rest = mass - ONE_AND_HALF * (u * u + v * v)
        same, cross = u + v, u - v
        r0, r1, r5 = rate * W0, rate * W1, rate * W5
        even_x, odd_x = r1 * (rest + FOUR_AND_HALF * u * u), r1 * THREE * u
        even_y, odd_y = r1 * (rest + FOUR_AND_HALF * v * v), r1 * THREE * v
        even_s, odd_s = r5 * (rest + FOUR_AND_HALF * same * same), r5 * THREE * same
        even_c, odd_c = r5 * (rest + FOUR_AND_HALF * cross * cross), r5 * THREE * cross
        g0[x] = keep * f0[x] + r0 * rest
        g1[x] = keep * a1 + even_x + odd_x
        g2[x] = keep * a2 + even_x - odd_x
        g3[x] = keep * a3 + even_y + odd_y
        g4[x] = keep * a4 + even_y - odd_y
        g5[x] = keep * a5 + even_s + odd_s
        g6[x] = keep * a6 + even_s - odd_s
        g7[x] = keep * a7 + even_c + odd_c
        g8[x] = keep * a8 + even_c - odd_c


def moments(has_subgrid):
    """A row with the collision of `src/lattice/collision.rs` in the plane."""

    @row_kernel
    def kernel(f0, f1, f2, f3, f4, f5, f6, f7, f8, g0, g1, g2, g3, g4, g5, g6, g7, g8, rates):
        molecular, memory_3, base, gain = rates[1], rates[2], rates[3], rates[4]
        for x in range(g0.size):
            plus_12, minus_12 = f1[x] + f2[x], f1[x] - f2[x]
            plus_34, minus_34 = f3[x] + f4[x], f3[x] - f4[x]
            plus_56, minus_56 = f5[x] + f6[x], f5[x] - f6[x]
            plus_78, minus_78 = f7[x] + f8[x], f7[x] - f8[x]
            diagonal = plus_56 + plus_78
            mass = f0[x] + (plus_12 + plus_34) + diagonal
            u = minus_12 + (minus_56 + minus_78)
            v = minus_34 + (minus_56 - minus_78)
            isotropic = mass * THIRD
            flux_xx, flux_yy, flux_xy = u * u, v * v, u * v
            stress_xx = plus_12 + diagonal - isotropic - flux_xx
            stress_yy = plus_34 + diagonal - isotropic - flux_yy
            stress_xy = plus_56 - plus_78 - flux_xy
            if has_subgrid:
                norm = math.sqrt(
                    stress_xx * stress_xx + stress_yy * stress_yy + TWO * (stress_xy * stress_xy)
                )
                modelled = HALF * (base + math.sqrt(base * base + gain * norm))
                relaxation_time = max(modelled, molecular)
            else:
                relaxation_time = molecular
            memory = ONE - ONE / relaxation_time
            after_xx = HALF * memory * (stress_xx - stress_yy)
            after_yy = -after_xx
            after_xy = memory * stress_xy
            xxy = (minus_56 - minus_78) - v * THIRD
            xyy = (minus_56 + minus_78) - u * THIRD
            flux_xxy, flux_xyy = flux_xx * v, flux_xy * v
            own_xxy = xxy - flux_xxy - (TWO * u * stress_xy + v * stress_xx)
            own_xyy = xyy - flux_xyy - (TWO * v * stress_xy + u * stress_yy)
            new_xxy = flux_xxy + TWO * u * after_xy + v * after_xx + memory_3 * own_xxy
            new_xyy = flux_xyy + TWO * v * after_xy + u * after_yy + memory_3 * own_xyy
            new_xxyy = (
                flux_xyy * u + u * u * after_yy + v * v * after_xx + FOUR * u * v * after_xy
            )
            out_xx = flux_xx + after_xx + isotropic
            out_yy = flux_yy + after_yy + isotropic
            out_xy = flux_xy + after_xy
            out_xxy = new_xxy + v * THIRD
            out_xyy = new_xyy + u * THIRD
            out_xxyy = new_xxyy + (out_xx + out_yy) * THIRD - mass * NINTH
            even_x, odd_x = HALF * (out_xx - out_xxyy), HALF * (u - out_xyy)
            even_y, odd_y = HALF * (out_yy - out_xxyy), HALF * (v - out_xxy)
            even_s, odd_s = QUARTER * (out_xxyy + out_xy), QUARTER * (out_xxy + out_xyy)
            even_c, odd_c = QUARTER * (out_xxyy - out_xy), QUARTER * (out_xyy - out_xxy)
            g0[x] = mass - (out_xx + out_yy) + out_xxyy
            g1[x] = even_x + odd_x
            g2[x] = even_x - odd_x
            g3[x] = even_y + odd_y
            g4[x] = even_y - odd_y
            g5[x] = even_s + odd_s
            g6[x] = even_s - odd_s
            g7[x] = even_c + odd_c
            g8[x] = even_c - odd_c

    return kernel


def stepper(row):
    """A step: every row pulls from `f`, collides, writes to `g`, and copies its ends to the first and the last column, which are rims."""

    @numba.njit(parallel=True, fastmath=True, error_model="numpy")
    def step(f, g, rates):
        across, last = f.shape[1], f.shape[2] - 1
        for y in numba.prange(across):
            below, above = (y - 1) % across, (y + 1) % across
            row(
                f[0, y, 1:last],
                f[1, y, 0 : last - 1],
                f[2, y, 2 : last + 1],
                f[3, below, 1:last],
                f[4, above, 1:last],
                f[5, below, 0 : last - 1],
                f[6, above, 2 : last + 1],
                f[7, above, 0 : last - 1],
                f[8, below, 2 : last + 1],
                g[0, y, 1:last],
                g[1, y, 1:last],
                g[2, y, 1:last],
                g[3, y, 1:last],
                g[4, y, 1:last],
                g[5, y, 1:last],
                g[6, y, 1:last],
                g[7, y, 1:last],
                g[8, y, 1:last],
                rates,
            )
            for i in range(9):
                g[i, y, 0] = g[i, y, last - 1]
                g[i, y, last] = g[i, y, 1]

    return step


def rates_of(viscosity):
    """Relaxation rate, relaxation time, memory of third order, base and gain of the subgrid model, as in `Fluid` of `src/lattice/collision.rs`."""
    relaxation_time = 0.5 + 3 * viscosity
    wanted = 0.05 / (relaxation_time - 0.5)
    memory_3 = 1 - 1 / (0.5 + min(wanted, max(200 * viscosity, 0.5)))
    square = SMAGORINSKY**2
    base = relaxation_time - 3 * square * THRESHOLD * viscosity
    gain = 36 * square / math.sqrt(2)
    return np.array([1 / relaxation_time, relaxation_time, memory_3, base, gain], dtype=F)


def equilibrium(u, v):
    """Two lattices, the first with the equilibrium of these velocities, which have the shape of the lattice without rims."""
    across, along = u.shape
    f, g = (np.zeros((9, across, along + 2), dtype=F) for _ in range(2))
    for i, (cx, cy, w) in enumerate(zip(ALONG, ACROSS, WEIGHTS)):
        cu = cx * u + cy * v
        f[i, :, 1:-1] = w * (3 * cu + 4.5 * cu * cu - 1.5 * (u * u + v * v))
    f[:, :, 0], f[:, :, -1] = f[:, :, -2], f[:, :, 1]
    return f, g


def velocity(f):
    """Velocity along and across, in double precision."""
    inner = f[:, :, 1:-1].astype(float)
    return np.tensordot(ALONG, inner, 1), np.tensordot(ACROSS, inner, 1)


def assert_uniform(f):
    """The stream of the timed lattices is what it was."""
    u, v = velocity(f[:, ::7, :])
    error = max(abs(u - 0.05).max(), abs(v).max())
    assert error < 1e-5, f"the uniform stream is off by {error}"


def assert_shear_wave_decays(step):
    """A shear wave across a stream is carried along and loses amplitude as exp(-nu k^2 t): closed form. Within 1 % of the rate."""
    viscosity, side, steps, amplitude = 0.02, 64, 1000, 0.01
    y, x = np.meshgrid(np.arange(side) + 0.5, np.arange(side) + 0.5, indexing="ij")
    for is_along, wave in [(True, y), (False, x)]:
        number = 2 * math.pi / side
        shear, stream = amplitude * np.sin(number * wave), np.full((side, side), 0.03)
        f, g = equilibrium(*((shear, stream) if is_along else (stream, shear)))
        for _ in range(steps):
            step(f, g, rates_of(viscosity))
            f, g = g, f
        found = velocity(f)[0 if is_along else 1]
        left = 2 * abs((found * np.exp(-1j * number * wave)).mean())
        rate = -math.log(left / amplitude) / steps
        expected = viscosity * number**2
        error = rate / expected - 1
        assert abs(error) < 0.01, f"the wave decays {100 * error:.2f} % too fast"
        carried = np.angle((found * np.exp(-1j * number * (wave - 0.03 * steps))).mean())
        drift = (carried + math.pi / 2 + math.pi) % (2 * math.pi) - math.pi
        assert abs(drift) < 0.01, f"the wave is {drift} rad from where the stream carries it"


def assert_subgrid_takes_energy(step):
    """A strong shear wave loses what the molecular and the eddy viscosity take: the mean of (nu + C^2 max(0, |S| - s nu)) S^2. Within 3 %."""
    viscosity, across, along, steps = 1e-4, 64, 8, 2000
    y = np.arange(across) + 0.5
    shear = np.tile(0.1 * np.sin(2 * math.pi / across * y)[:, None], along)
    f, g = equilibrium(shear, np.zeros_like(shear))
    energies = []
    # The stress is not there at once: it swings about its value during the first part.
    for _ in range(2):
        for _ in range(steps):
            step(f, g, rates_of(viscosity))
            f, g = g, f
        shear = velocity(f)[0][:, 0]
        strain = abs(np.roll(shear, -1) - np.roll(shear, 1)) / 2
        eddy = SMAGORINSKY**2 * np.maximum(strain - THRESHOLD * viscosity, 0)
        energies.append((0.5 * (shear**2).mean(), ((viscosity + eddy) * strain**2).mean()))
    (before, first), (after, second) = energies
    share = (before - after) / (0.5 * (first + second) * steps)
    assert abs(share - 1) < 0.03, f"the subgrid model takes {share} of what it should"


def million_updates_per_second(step, across, along, samples, updates):
    """Median over samples, a uniform stream."""
    rates = rates_of(VISCOSITY)
    u = np.full((across, along), 0.05)
    f, g = equilibrium(u, np.zeros_like(u))
    pairs = max(1, math.ceil(updates / (2 * across * along)))
    speeds = []
    for sample in range(samples + 1):
        begun = time.perf_counter()
        for _ in range(pairs):
            step(f, g, rates)
            step(g, f, rates)
        speeds.append(2 * pairs * across * along / (time.perf_counter() - begun) / 1e6)
    assert_uniform(f)
    return statistics.median(speeds[1:])


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--small", action="store_true", help="check only, on small lattices")
    small = parser.parse_args().small
    sizes = [(24, 40), (64, 256)] if small else SIZES
    print(f"numba {numba.__version__}, million cell updates per second, median of {SAMPLES}; threads: 1, 2")
    for name, row in [
        ("relaxed", relaxed),
        ("moments", moments(False)),
        ("moments, subgrid", moments(True)),
    ]:
        step = stepper(row)
        assert_shear_wave_decays(step)
        if "subgrid" in name:
            assert_subgrid_takes_energy(step)
        for across, along in sizes:
            speeds = []
            for threads in (1, 2):
                numba.set_num_threads(threads)
                amount = (1, 1) if small else (SAMPLES, UPDATES)
                speeds.append(million_updates_per_second(step, across, along, *amount))
            told = "right" if small else "  ".join(f"{speed:6.0f}" for speed in speeds)
            print(f"{name:<18} {across:>5}x{along:<5} {told}", flush=True)


if __name__ == "__main__":
    main()
