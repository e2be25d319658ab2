"""Every unit that the edge knows, exact by definition: dimension, factor, zero."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

# Exact by definition. BIPM, The International System of Units (SI Brochure, 9th edition): prefixes,
# minute, hour, litre, the degree Celsius (t = T - 273.15 K); NIST SP 811 (2008), appendix B: the
# bar 1e5 Pa, inch 25.4 mm, foot 0.3048 m, mile 1609.344 m, pound 0.45359237 kg, standard gravity
# 9.80665 m/s2, US gallon 231 in3, UK gallon 4.54609 L, degree Fahrenheit t = T/1.8 - 459.67. The
# conventional millimetre and inch of mercury are at 13.5951 g/cm3; B.8 prints them to seven digits.
LITRE: Final = Fraction(1, 1000)
INCH: Final = Fraction(254, 10_000)
MILE: Final = Fraction("1609.344")
US_GALLON: Final = 231 * INCH**3
UK_GALLON: Final = Fraction("4.54609") * LITRE
PSI: Final = Fraction("0.45359237") * Fraction("9.80665") / INCH**2
MM_HG: Final = Fraction("13.5951") * Fraction("9.80665")  # 13595.1 kg/m3 x g_n x 1 mm
FAHRENHEIT: Final = Fraction(5, 9)
ML: Final = Fraction(1, 10**6)

EXACT: Final[dict[str, tuple[str, Fraction]]] = {
    "Pa": ("pressure", Fraction(1)),
    "kPa": ("pressure", Fraction(1000)),
    "MPa": ("pressure", Fraction(10**6)),
    "mbar": ("pressure", Fraction(100)),
    "bar": ("pressure", Fraction(10**5)),
    "psi": ("pressure", PSI),
    "inHg": ("pressure", Fraction("25.4") * MM_HG),
    "mmHg": ("pressure", MM_HG),
    "K": ("temperature", Fraction(1)),
    "°C": ("temperature", Fraction(1)),
    "°F": ("temperature", FAHRENHEIT),
    "m³": ("volume", Fraction(1)),
    "L": ("volume", LITRE),
    "mL": ("volume", ML),
    "US qt": ("volume", US_GALLON / 4),
    "US gal": ("volume", US_GALLON),
    "UK pt": ("volume", UK_GALLON / 8),
    "UK gal": ("volume", UK_GALLON),
    "s": ("time", Fraction(1)),
    "min": ("time", Fraction(60)),
    "h": ("time", Fraction(3600)),
    "m": ("length", Fraction(1)),
    "mm": ("length", Fraction(1, 1000)),
    "km": ("length", Fraction(1000)),
    "ft": ("length", 12 * INCH),
    "mi": ("length", MILE),
    "m²": ("area", Fraction(1)),
    "cm²": ("area", Fraction(1, 10_000)),
    "kg": ("mass", Fraction(1)),
    "g": ("mass", Fraction(1, 1000)),
    "1": ("ratio", Fraction(1)),
    "%": ("ratio", Fraction(1, 100)),
    "kPa/min": ("pressure_rate", Fraction(1000, 60)),
    "Pa/s": ("pressure_rate", Fraction(1)),
    "psi/min": ("pressure_rate", PSI / 60),
    "bar/min": ("pressure_rate", Fraction(10**5, 60)),
    "K/min": ("temperature_rate", Fraction(1, 60)),
    "K/s": ("temperature_rate", Fraction(1)),
    "mL/min": ("volume_flow", ML / 60),
    "m³/s": ("volume_flow", Fraction(1)),
    "mL/kPa": ("compliance", ML / 1000),
    "m³/Pa": ("compliance", Fraction(1)),
    "L/1000 km": ("loss_per_distance", LITRE / 10**6),
    "US qt/1000 mi": ("loss_per_distance", US_GALLON / 4 / (1000 * MILE)),
    "m³/m": ("loss_per_distance", Fraction(1)),
    "min/1000 km": ("time_per_distance", Fraction(60, 10**6)),
    "s/m": ("time_per_distance", Fraction(1)),
    "1/K": ("expansion", Fraction(1)),
    "kg/m³": ("density", Fraction(1)),
    "mPa·s": ("viscosity", Fraction(1, 1000)),
    "Pa·s": ("viscosity", Fraction(1)),
    "kJ/(kg·K)": ("specific_heat", Fraction(1000)),
    "J/(kg·K)": ("specific_heat", Fraction(1)),
}
ZERO: Final = {"°C": Fraction("273.15"), "°F": Fraction("459.67") * FAHRENHEIT}  # K
