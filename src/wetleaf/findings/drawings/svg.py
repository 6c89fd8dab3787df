"""Elements written as text: names and attributes in, escaped markup out."""

from html import escape

_SELF_CLOSING = {"line", "rect", "circle", "path", "polygon", "polyline"}


def element(name: str, *children: str, **attributes: str | float | None) -> str:
    """Write one element; children are markup, attributes of None are left out.

    A trailing underscore is dropped and the others become hyphens; numbers keep one decimal.

    >>> element("line", class_="hair", x1=0, x2=98.26)
    '<line class="hair" x1="0" x2="98.3"/>'
    >>> element("text", words("a < b"), text_anchor="end", y=4)
    '<text text-anchor="end" y="4">a &lt; b</text>'
    """
    written = "".join(
        f' {_attribute_name(key)}="{_attribute_value(value)}"'
        for key, value in attributes.items()
        if value is not None
    )
    if name in _SELF_CLOSING and not children:
        return f"<{name}{written}/>"
    return f"<{name}{written}>{''.join(children)}</{name}>"


def words(text: str) -> str:
    """Return text as it may stand between tags."""
    return escape(text, quote=False)


def drawing(*marks: str, width: float, height: float, title: str, desc: str, key: str, class_: str) -> str:
    """Put marks into an SVG that tells what it shows: `key` makes the ids of title and description.

    Raises ValueError without a key, since two pictures in one page would then share an id.
    """
    if not key:
        raise ValueError("a drawing needs a key to make its ids from")
    return element(
        "svg",
        element("title", words(title), id=f"{key}-t"),
        element("desc", words(desc), id=f"{key}-d"),
        *marks,
        class_=class_,
        viewBox=f"0 0 {_number(width)} {_number(height)}",
        role="img",
        aria_labelledby=f"{key}-t {key}-d",
    )


def small_drawing(*marks: str, width: float, height: float, title: str, class_: str = "") -> str:
    """Put marks into a small SVG of fixed size that stands in a line of text."""
    return element(
        "svg",
        element("title", words(title)),
        *marks,
        class_=class_ or None,
        viewBox=f"0 0 {_number(width)} {_number(height)}",
        width=width,
        height=height,
        role="img",
    )


def _attribute_name(key: str) -> str:
    return key.rstrip("_").replace("_", "-")


def _attribute_value(value: str | float) -> str:
    return escape(value) if isinstance(value, str) else _number(value)


def _number(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")
