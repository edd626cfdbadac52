"""How the numbers of a report were made: what of the logbook they come from, by which formula."""

from pipeline.show.listing import Listing

_OWN = "arithmetic on your own entries"
# The sources in full stand with the functions of `pipeline.enology`, where a test looks them up.
SOURCES = {
    "corrected_gravity": "Mass balance of a glass float",
    "gravity_from_brix": "NBS Circular C440",
    "alcohol_from_gravities": "Balling's balance; OIV-MA-AS2-03B; OIML R 22",
}
_MADE = (
    ("start, end", "hydrometer readings, brought to 20 °C", SOURCES["corrected_gravity"]),
    ("", "refractometer readings, from Brix", SOURCES["gravity_from_brix"]),
    (
        "strength",
        "gravity at the start with sugar fed later on top, and the last one; less what topping up "
        "takes",
        SOURCES["alcohol_from_gravities"],
    ),
    ("bottled, of aim", "transfers.csv: litres, or bottles; divided by the volume aimed at", _OWN),
    ("harsh", "astringency, bitterness and warmth, mean of all glasses", _OWN),
    ("score", "mean of all glasses", _OWN),
    ("a bottle", "cost of what went in, divided by the bottles", _OWN),
    ("a range", "learnt from all batches: of ten such, nine lie inside", "METHODS.md of hedgerow"),
)


def made_listing() -> Listing:
    """Return a row a number: what it comes from, and the source of its formula."""
    return Listing(("number", "comes from", "by"), _MADE, left=("number", "comes from", "by"))
