"""Density of plain water, the liquid that every float test and every weighing starts from."""

from __future__ import annotations

LOWEST_CELSIUS = 0.1
HIGHEST_CELSIUS = 40.0

# Kell 1975: kg/m3 with t in degrees Celsius on the 1968 temperature scale.
_NUMERATOR = (999.83952, 16.945176, -7.9870401e-3, -46.170461e-6, 105.56302e-9, -280.54253e-12)
_DENOMINATOR = 16.879850e-3
# One degree of today's scale (1990) read on the scale of 1968, between 0 and 100 C.
_SCALE_1968 = 1.00024


def water_density(celsius: float) -> float:
    """Density, g/cm3, of air-free water at 1 atm and `celsius` (0.1 to 40 C).

        rho = (a0 + a1 t + a2 t^2 + a3 t^3 + a4 t^4 + a5 t^5) / (1 + b t)

    J. Chem. Eng. Data 20 (1975) 97-105 (KELL in shared/sources.yaml). The tests hold it within 0.01 kg/m3 of
    IAPWS-95 over the whole range. Dissolved air lowers the density by up to 0.005 kg/m3 (from memory), salts
    in tap water raise it by up to 0.5 kg/m3 (common practice): both are small beside a bubble on the piece.

    >>> round(water_density(23.0), 4)
    0.9975

    Raises ValueError outside the range: below it water may freeze, above it the bench is not where a float
    test belongs.
    """
    if not LOWEST_CELSIUS <= celsius <= HIGHEST_CELSIUS:
        raise ValueError(
            f"Water at {celsius:g} C is outside {LOWEST_CELSIUS:g} to {HIGHEST_CELSIUS:g} C: "
            "bring the water to room temperature and measure it again."
        )
    t = celsius * _SCALE_1968
    value = 0.0
    for coefficient in reversed(_NUMERATOR):
        value = value * t + coefficient
    return value / (1.0 + _DENOMINATOR * t) / 1000.0
