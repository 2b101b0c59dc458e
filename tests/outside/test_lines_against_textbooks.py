"""Radius and length of lines against curves whose answer is known.

Sources are textbooks of differential geometry unless one is named; the figures for the sines and the Bézier circle
were worked out from the closed forms given beside them.
"""

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import ellipe

from geometry.curvature import curvature, piece_lengths, tightest_bend
from geometry.lines import Line, line_through
from geometry.project import Node


def through(places) -> Line:
    return line_through([Node((float(u), float(z))) for u, z in places])


def bezier(*points) -> Line:
    return Line(np.array([points], dtype=float), np.array([False]), ())


# ---------------------------------------------------------------- circles


@pytest.mark.parametrize("radius", [4.8, 63.5, 827.5])
@pytest.mark.parametrize("sweep_deg", [60.0, 180.0, 300.0])
def test_a_circle_through_many_nodes_has_its_radius(radius, sweep_deg):
    # Textbook: the radius of curvature of a circle is its radius. The free ends of a spline bend less than the circle,
    # and the disturbance dies out within a few nodes, so the middle is looked at.
    angle = np.radians(np.linspace(-sweep_deg / 2, sweep_deg / 2, 241))
    line = through(np.stack([radius * np.cos(angle), radius * np.sin(angle)], axis=1))
    middle = np.arange(60, 180)
    bend = curvature(line, middle, np.full(120, 0.5))
    assert 1.0 / bend == pytest.approx(np.full(120, radius), rel=1e-6 * (sweep_deg / 60.0) ** 4 + 1e-7)
    assert piece_lengths(line).sum() == pytest.approx(radius * math.radians(sweep_deg), rel=1e-6)


def test_the_radius_of_three_samples_of_a_circle():
    # Textbook: R = abc / (4 · area) of the triangle through three places of a circle.
    angle = np.radians([20.0, 50.0, 100.0])
    p = 63.5 * np.stack([np.cos(angle), np.sin(angle)], axis=1)
    a, b, c = (math.dist(p[i], p[j]) for i, j in ((0, 1), (1, 2), (2, 0)))
    area = abs(np.cross(np.append(p[1] - p[0], 0), np.append(p[2] - p[0], 0))[2]) / 2.0
    circle = np.radians(np.linspace(0.0, 120.0, 121))
    line = through(63.5 * np.stack([np.cos(circle), np.sin(circle)], axis=1))
    assert 1.0 / curvature(line, np.array([60]), np.array([0.5]))[0] == pytest.approx(a * b * c / (4 * area), rel=3e-5)


def test_the_bezier_quarter_circle_reads_eight_thousandths_tight():
    # Textbook: with kappa = 4/3 (√2 - 1) the cubic keeps within 0.027 % of the circle, but its radius of curvature
    # runs from 0.9921 to 1.0219 of the circle's.
    kappa, radius = 4.0 / 3.0 * (math.sqrt(2.0) - 1.0), 100.0
    assert kappa == pytest.approx(0.5522847498, abs=1e-10)
    quarter = bezier((radius, 0), (radius, kappa * radius), (kappa * radius, radius), (0, radius))
    assert tightest_bend(quarter).radius_mm / radius == pytest.approx(0.9921, abs=5e-5)
    t = np.linspace(0.0, 1.0, 2001)
    piece = np.zeros(2001, dtype=int)
    assert (1.0 / curvature(quarter, piece, t)).max() / radius == pytest.approx(1.0219, abs=5e-5)
    away = np.hypot(*quarter.at(piece, t).T) / radius - 1.0
    assert away.min() == pytest.approx(0.0, abs=1e-12)
    assert away.max() == pytest.approx(0.000272530, abs=1e-8)


def test_the_radius_where_a_bezier_piece_begins():
    # Textbook: 1.5 a² / h, with a = |P1 - P0| and h the distance of P2 from the tangent at the end.
    piece = bezier((0, 0), (0, 30), (12, 55), (40, 70))
    assert 1.0 / abs(curvature(piece, np.array([0]), np.array([0.0]))[0]) == pytest.approx(1.5 * 30.0**2 / 12.0)


# ---------------------------------------------------------------- sines


@pytest.mark.parametrize(
    ("amplitude", "wavelength", "radius", "slope"),
    [(15.0, 700.0, 827.5, 7.4), (10.0, 300.0, 228.0, 4.8), (20.0, 400.0, 202.6, 3.2), (12.5, 300.0, 182.4, 3.8)],
)
def test_the_tightest_radius_of_a_sine(amplitude, wavelength, radius, slope):
    # Textbook: R = L² / (4 π² A) at the crests, greatest slope 2 π A / L where it crosses the centre line.
    assert wavelength**2 / (4 * math.pi**2 * amplitude) == pytest.approx(radius, abs=0.05)
    z = np.linspace(0.0, wavelength, 161)
    line = through(np.stack([amplitude * np.sin(2 * math.pi * z / wavelength), z], axis=1))
    bend = tightest_bend(line)
    assert bend.radius_mm == pytest.approx(wavelength**2 / (4 * math.pi**2 * amplitude), rel=2e-3)
    assert min(abs(bend.at[1] - crest * wavelength) for crest in (0.25, 0.75)) < wavelength / 100
    assert abs(bend.at[0]) == pytest.approx(amplitude, rel=1e-3)
    direction = line.velocity(np.array([79]), np.array([1.0]))[0]
    assert abs(direction[1] / direction[0]) == pytest.approx(slope, abs=0.06)


def test_the_length_of_a_sine_is_an_elliptic_integral():
    # Textbook: one wave of A sin(2πz/L) is L · (2/π) · √(1 + s²) · E(s² / (1 + s²)) long, s = 2πA/L. For A = 15 and
    # L = 700 that is 703.16 mm.
    amplitude, wavelength = 15.0, 700.0
    s2 = (2 * math.pi * amplitude / wavelength) ** 2
    exact = wavelength * 2.0 / math.pi * math.sqrt(1 + s2) * ellipe(s2 / (1 + s2))
    assert exact == pytest.approx(703.16, abs=0.005)
    assert quad(lambda z: math.sqrt(1 + s2 * math.cos(2 * math.pi * z / wavelength) ** 2), 0, wavelength)[
        0
    ] == pytest.approx(exact, rel=1e-9)
    z = np.linspace(0.0, wavelength, 161)
    line = through(np.stack([amplitude * np.sin(2 * math.pi * z / wavelength), z], axis=1))
    assert piece_lengths(line).sum() == pytest.approx(exact, rel=1e-7)


def test_a_free_drafting_spline_bends_like_a_beam():
    # Textbook: a natural cubic spline through (0, 0), (h, 1), (2h, 0) is the simply supported beam loaded in the
    # middle, u = (3 x L² - 4 x³) / L³ with L = 2h. With a rise small beside the span the chord is the span.
    h, rise = 200.0, 0.01
    line = through([(0, 0), (rise, h), (0, 2 * h)])
    t = np.linspace(0.0, 1.0, 9)
    u, z = line.at(np.zeros(9, dtype=int), t).T
    beam = rise * (3 * z * (2 * h) ** 2 - 4 * z**3) / (2 * h) ** 3
    assert u == pytest.approx(beam, abs=1e-8 * h * rise)


# ---------------------------------------------------------------- a parabola, which one piece holds exactly


def test_a_parabola_is_held_exactly():
    # Textbook: u = z²/2p has its tightest radius p at the vertex; its length from the vertex to z is
    # z/2 · √(1 + z²/p²) + p/2 · asinh(z/p).
    p, top = 40.0, 100.0

    def place(z):
        return z * z / (2 * p), z

    # degree raised from two to three: the vertex at z = -20 lies within the piece
    low, high = -20.0, top
    middle = ((low * high) / (2 * p), (low + high) / 2)
    start, end = np.array(place(low)), np.array(place(high))
    piece = bezier(start, start + 2 / 3 * (np.array(middle) - start), end + 2 / 3 * (np.array(middle) - end), end)
    assert tightest_bend(piece).radius_mm == pytest.approx(p, rel=1e-12)
    assert tightest_bend(piece).at == pytest.approx((0.0, 0.0), abs=1e-6)

    def from_vertex(z):
        return z / 2 * math.sqrt(1 + z * z / p**2) + p / 2 * math.asinh(z / p)

    assert piece_lengths(piece)[0] == pytest.approx(from_vertex(high) - from_vertex(low), rel=1e-12)
