"""Unit words, rough words and month names of other languages, put into the contract's words.

Only words that can mean one thing are replaced. A *Pfund* is half a kilogram and a *pound* is not,
so it stays, is refused as an unknown unit, and is asked about.
"""

import re

_UNITS = {
    "kg": "kilogramm kilogrammes kilogramos chilogrammi chili kilogram kilograma kilo",
    "g": "gramm gramme gramos grammi gramów gramy gr",
    "L": "liter litern litres litros litri litro litr litry litrów lt",
    "mL": "milliliter millilitres mililitros millilitri cc ccm",
    "tsp": "teelöffel tl theelepel tesked tsk cucharadita cucharaditas cucchiaino cucchiaini",
    "tbsp": "esslöffel eßlöffel el eetlepel matsked msk cucharada cucharadas cucchiaio cucchiai",
    "packet": "päckchen packung tütchen beutel pakje zakje bustina bustine saszetka paket pk sobre "
    "sobres",
    "tablet": "tablette tabletten tablettes tableta pastille pastilla pastiglia comprimé",
    "Bx": "grad_brix degrés_brix",
}
_SEVERAL = {
    r"cuill(?:è|e)res? (?:à|a) caf(?:é|e)|c\. ?(?:à|a) ?c\.?|càc": "tsp",
    r"cuill(?:è|e)res? (?:à|a) soupe|c\. ?(?:à|a) ?s\.?|càs": "tbsp",
}
_ROUGH_WORDS = re.compile(
    r"^(?:etwa|ungefähr|zirka|circa|ca|env|environ|aprox|aproximadamente|ongeveer|około|ok|unge"
    r"|roughly|around|say|c|about|approx|approximately|\+/?-|±|≈|~)\.? ?(?=[0-9½¼¾.,])",
    re.IGNORECASE,
)
_ROUGH_END = re.compile(r" ?(?:ish|approx\.?|or so|about|ca\.?)$", re.IGNORECASE)
_MARK_WORDS = re.compile(
    r"^(?:(?:auf|bis|jusqu'à|jusqu’à|hasta|fino a|tot|up to|made up to|made to|topped to|fill to"
    r"|to make) )(?=[~0-9½¼¾.])",
    re.IGNORECASE,
)
_MONTHS = {
    "jan": "januar janvier enero gennaio januari ene gen",
    "feb": "februar février fevrier febrero febbraio februari fév",
    "mar": "märz maerz mars marzo maart mrz maa mär",
    "apr": "avril abril aprile avr abr",
    "may": "mai mayo maggio mei maj mag",
    "jun": "juni juin junio giugno giu",
    "jul": "juli juillet julio luglio lug juil",
    "aug": "août aout agosto augustus augusti ago",
    "sep": "septembre septiembre settembre set",
    "oct": "oktober octobre octubre ottobre okt ott",
    "nov": "novembre noviembre",
    "dec": "dezember décembre decembre diciembre dicembre dez déc dic",
}
_BASES = {
    "tartaric": r"tart|weins|\bwine acid",
    "malic": r"malic|apfels|malique",
    "citric": r"citri|zitron",
    "sulphuric": r"sulph|sulfur|h2so4|schwefel",
}


def _table(words: dict[str, str]) -> dict[str, str]:
    return {
        spelling.replace("_", " "): name
        for name, spellings in words.items()
        for spelling in spellings.split()
    }


_UNIT_WORDS = _table(_UNITS)
_MONTH_WORDS = _table(_MONTHS)
_WORD = re.compile(r"[^\W\d_]+")


def in_contract_words(text: str) -> str:
    """Return a quantity cell with unit words and rough words as the contract knows them.

    Examples
    --------
    >>> in_contract_words("etwa 2 Gramm"), in_contract_words("1/2 TL")
    ('~2 g', '1/2 tsp')
    """
    for pattern, unit in _SEVERAL.items():
        text = re.sub(pattern, unit, text, flags=re.IGNORECASE)
    text = _WORD.sub(lambda word: _UNIT_WORDS.get(word[0].lower(), word[0]), text)
    text = _MARK_WORDS.sub("to ", text)
    if _ROUGH_END.search(text) and any(letter.isdigit() for letter in text):
        text = "~" + _ROUGH_END.sub("", text)
    return _ROUGH_WORDS.sub("~", text)


def in_english_months(text: str) -> str:
    """Return a date cell with month names as the contract knows them.

    Examples
    --------
    >>> in_english_months("13. März 2024")
    '13. mar 2024'
    """
    return _WORD.sub(lambda word: _MONTH_WORDS.get(word[0].lower(), word[0]), text)


def acid_basis(text: str) -> str | None:
    """Return the acid that an acidity says it is expressed as.

    Examples
    --------
    >>> acid_basis("6.9 g/l tart"), acid_basis("4.5 ppt")
    ('tartaric', None)
    """
    found = [name for name, words in _BASES.items() if re.search(words, text, re.IGNORECASE)]
    return found[0] if len(found) == 1 else None
