"""Constants shared by the physics, with their sources."""

G0 = 9.80665
"""Standard acceleration of gravity, m/s2 (3rd CGPM, 1901; exact)."""

P0 = 101325.0
"""Standard atmosphere, Pa (10th CGPM, 1954; exact)."""

T0 = 293.15
"""Reference room temperature, K (20 degC)."""

ZERO_CELSIUS = 273.15
"""Ice point on the thermodynamic scale, K (exact by definition of the Celsius scale)."""

CENTISTOKE = 1e-6
"""One centistoke, m2/s (exact)."""
