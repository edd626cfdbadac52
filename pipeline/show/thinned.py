"""So many of very many marks as a plot can show apart."""


def even_ranks(number: int, most: int) -> list[int]:
    """Return which of so many ordered values to show: all, or the most at even ranks.

    Examples
    --------
    >>> even_ranks(3, 5)
    [0, 1, 2]
    >>> even_ranks(9, 5)
    [0, 2, 4, 6, 8]
    """
    if number <= most:
        return list(range(number))
    return [round(rank * (number - 1) / (most - 1)) for rank in range(most)]
