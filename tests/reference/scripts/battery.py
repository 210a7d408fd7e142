"""Volts of six flooded cells from acid of known strength, by a published cell equation."""
import os

os.environ["PYBAMM_DISABLE_TELEMETRY"] = "true"

import numpy as np
import pybamm
from pybamm.input.parameters.lead_acid.Sulzer2019 import lead_dioxide_ocp_Bode1977, lead_ocp_Bode1977

from vectorfile import write

# Specific gravity that makers print for each state of charge (from memory), in percent.
GRAVITY = [(1.120, 0), (1.155, 25), (1.190, 50), (1.225, 75), (1.265, 100)]
# Density of sulphuric acid at 25 °C by mass percent (handbook table, from memory).
DENSITY = [(10, 1.0640), (15, 1.0994), (20, 1.1365), (25, 1.1750), (30, 1.2150), (35, 1.2563), (40, 1.2991)]
MOLAR_MASS = 98.08


def molality(gravity):
    percent = np.interp(gravity, [row[1] for row in DENSITY], [row[0] for row in DENSITY])
    return 1000 * percent / (MOLAR_MASS * (100 - percent))


cases = []
for gravity in np.round(np.arange(1.120, 1.2651, 0.005), 3):
    acid = pybamm.Scalar(float(molality(gravity)))
    cell = (lead_dioxide_ocp_Bode1977(acid) - lead_ocp_Bode1977(acid)).evaluate()
    charge = np.interp(gravity, [row[0] for row in GRAVITY], [row[1] for row in GRAVITY])
    cases.append({"gravity": float(gravity), "charge": float(charge), "volts": 6 * float(np.squeeze(cell))})

write(__file__, ["numpy", "pybamm"], None,
      "Bode (1977) as carried by pybamm (Sulzer2019); gravity by charge and density by mass percent from memory",
      {"relative": 1e-9, "absolute": 1e-12}, cases)
