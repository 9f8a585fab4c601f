"""Lengths written behind an option of a command."""

from __future__ import annotations


def length_of(option: str, text: str) -> float:
    """Return a length written behind an option [m].

    Parameters
    ----------
    option
        The option, as written.
    text
        What stands behind it.

    Raises
    ------
    UsageError
        If it is no length of more than 0.
    """
    from terrain_head.base.quantities import QuantityError, parse_quantity
    from terrain_head.base.units import Dimension
    from terrain_head.errors import Trouble, UsageError

    try:
        value = parse_quantity(text, Dimension.LENGTH).value
    except QuantityError as error:
        raise UsageError(
            f"{option} can't be used as it stands.",
            Trouble(what=error.trouble.what, write=f'{option} "{error.trouble.write}"'),
        ) from None
    if value <= 0:
        raise UsageError(f"{option} must be more than 0.", Trouble(what=f'It is "{text}".'))
    return value
