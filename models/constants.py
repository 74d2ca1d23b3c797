"""Physical constants of the model."""

GRAVITY_M_S2 = 9.80665
"""Standard gravity, m/s² (3rd General Conference on Weights and Measures, 1901)."""

SEA_WATER_KG_M3 = 1025.0
"""Density of sea water, kg/m³ (common practice, no source)."""

STEEL_KG_M3 = 7850.0
"""Density of steel, kg/m³ (common practice, no source)."""

M3_PER_MM3 = 1e-9
"""Cubic metres in a cubic millimetre."""

MM3_PER_M3 = 1e9
"""Cubic millimetres in a cubic metre."""

M2_PER_MM2 = 1e-6
"""Square metres in a square millimetre."""
