"""Molar masses and what follows from them; each number is derived here once.

References
----------
.. [1] Prohaska et al. 2022, Standard atomic weights of the elements 2021, Pure Appl. Chem.
   94:573, doi:10.1515/pac-2019-0603 (abridged values; from memory, cross-checked by the tests).
.. [2] OIML R 22 (1975): density of ethanol at 20 °C, 789.24 kg/m3 (read).
"""

ATOMIC_WEIGHT = {  # [g/mol] [1]
    "H": 1.008,
    "C": 12.011,
    "N": 14.007,
    "O": 15.999,
    "Na": 22.990,
    "P": 30.974,
    "S": 32.06,
    "K": 39.098,
    "Ca": 40.078,
    "Cu": 63.546,
}

_ATOMS = {
    "water": {"H": 2, "O": 1},
    "carbon dioxide": {"C": 1, "O": 2},
    "ethanol": {"C": 2, "H": 6, "O": 1},
    "hexose": {"C": 6, "H": 12, "O": 6},
    "sucrose": {"C": 12, "H": 22, "O": 11},
    "maltose": {"C": 12, "H": 22, "O": 11},
    "starch unit": {"C": 6, "H": 10, "O": 5},
    "sulphur dioxide": {"S": 1, "O": 2},
    "potassium metabisulphite": {"K": 2, "S": 2, "O": 5},
    "sodium metabisulphite": {"Na": 2, "S": 2, "O": 5},
    "potassium bisulphite": {"K": 1, "H": 1, "S": 1, "O": 3},
    "sorbic acid": {"C": 6, "H": 8, "O": 2},
    "potassium sorbate": {"C": 6, "H": 7, "K": 1, "O": 2},
    "diammonium phosphate": {"N": 2, "H": 9, "P": 1, "O": 4},
    "ammonium sulphate": {"N": 2, "H": 8, "S": 1, "O": 4},
    "urea": {"C": 1, "H": 4, "N": 2, "O": 1},
    "tartaric acid": {"C": 4, "H": 6, "O": 6},
    "malic acid": {"C": 4, "H": 6, "O": 5},
    "citric acid": {"C": 6, "H": 8, "O": 7},
    "lactic acid": {"C": 3, "H": 6, "O": 3},
    "acetic acid": {"C": 2, "H": 4, "O": 2},
    "oxalic acid": {"C": 2, "H": 2, "O": 4},
    "sulphuric acid": {"H": 2, "S": 1, "O": 4},
    "potassium bicarbonate": {"K": 1, "H": 1, "C": 1, "O": 3},
    "potassium carbonate": {"K": 2, "C": 1, "O": 3},
    "calcium carbonate": {"Ca": 1, "C": 1, "O": 3},
    "copper sulphate pentahydrate": {"Cu": 1, "S": 1, "O": 9, "H": 10},
}

MOLAR_MASS = {  # [g/mol]
    name: sum(ATOMIC_WEIGHT[element] * count for element, count in atoms.items())
    for name, atoms in _ATOMS.items()
}

ETHANOL_DENSITY_G_L = 789.24  # [g/L] at 20 °C [2]

ETHANOL_PER_HEXOSE = 2 * MOLAR_MASS["ethanol"] / MOLAR_MASS["hexose"]  # [g/g] Gay-Lussac
ETHANOL_PER_SUCROSE = 4 * MOLAR_MASS["ethanol"] / MOLAR_MASS["sucrose"]  # [g/g]
CO2_PER_HEXOSE = 2 * MOLAR_MASS["carbon dioxide"] / MOLAR_MASS["hexose"]  # [g/g]
INVERT_PER_SUCROSE = 2 * MOLAR_MASS["hexose"] / MOLAR_MASS["sucrose"]  # [g/g] binds water
GLUCOSE_PER_STARCH = MOLAR_MASS["hexose"] / MOLAR_MASS["starch unit"]  # [g/g]
GLUCOSE_PER_MALTOSE = 2 * MOLAR_MASS["hexose"] / MOLAR_MASS["maltose"]  # [g/g]
COPPER_PER_COPPER_SULPHATE = (  # [g/g]
    ATOMIC_WEIGHT["Cu"] / MOLAR_MASS["copper sulphate pentahydrate"]
)
