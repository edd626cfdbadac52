"""The page's look, as settings of the page server: quiet paper by day, quiet slate by night."""

from pipeline.show.palette import SERIES

_SIZES = '["1.9rem", "1.3rem", "1.1rem", "1rem", "1rem", "1rem"]'
_WEIGHTS = "[650, 500, 600, 600, 600, 600]"
_EVERYWHERE = {
    "baseRadius": "6px",
    "headingFontSizes": _SIZES,
    "headingFontWeights": _WEIGHTS,
    "showWidgetBorder": "true",
}
_LIGHT = {
    "primaryColor": "#2f6b55",
    "backgroundColor": "#fbfaf6",
    "secondaryBackgroundColor": "#f1efe8",
    "textColor": "#2b2a28",
    "borderColor": "#d8d4c8",
    "linkColor": "#2f6b55",
}
_DARK = {
    "primaryColor": "#2f7a5f",
    "backgroundColor": "#1b1d1c",
    "secondaryBackgroundColor": "#262927",
    "textColor": "#e8e5dd",
    "borderColor": "#3c403d",
    "linkColor": "#7cbfa4",
}


def theme_options() -> dict[str, str]:
    """Return the options of the page server that set its look, by name without the dashes."""
    colours = "[" + ", ".join(f'"{colour}"' for colour in SERIES) + "]"
    options = {f"theme.{name}": value for name, value in _EVERYWHERE.items()}
    options["theme.chartCategoricalColors"] = colours
    for mode, look in (("light", _LIGHT), ("dark", _DARK)):
        options |= {f"theme.{mode}.{name}": value for name, value in look.items()}
    return options
