"""The chemistry of the trade as pure functions on floats and numpy arrays; one module a subject.

Units are SI and stand in the argument's name; gravity is the apparent specific gravity 20/20, `abv`
is % vol at 20 °C, fractions are 0 to 1. How arguments are checked: `arguments`. Where a relation is
sound: `validity`. Legal ceilings and their rules: `limits`.

============  ======================================================================
gravity       hydrometer and refractometer; Brix, Plato, sugar, density (`sucrose`, `water`)
alcohol       from gravities (named relations), potential (`balling`, `ethanol`)
ledger        alcohol when sugar or water went in on the way
extract       dry extract, attenuation, lowest gravity, residual sugar (`tabarie`)
must          sugar, water and volume of a must; `fruit`: what fruit brings
nitrogen      needed and given
acidity       bases, titration, acid to add, carbonates
sulphite      free and molecular sulphur dioxide, doses; `stabilising`: sorbate
sweetening    by gravity, by grams per litre, from glass to batch
blending      wines and water
carbonation   pressure if sugar ferments in a closed bottle
tannin        powder, and an index of skin contact
enzymes       the temperatures they stand
sensory       exact tests for small tastings
units         exact sizes of gallons, pounds and the rest (`substances`: molar masses)
============  ======================================================================
"""
