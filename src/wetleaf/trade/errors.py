"""How wetleaf refuses: one exception that names the thing, why it will not do, and the way out."""


class BadInput(ValueError):  # noqa: N818 (a reader would say it so)
    """Something a person gave cannot be used; the message says what, why and what to do.

    The commands print it on one line and leave with exit code 2; pages show it beside the field.

    >>> str(BadInput("spring.xlsx: the file is cut short.", way_out="Copy it again and retry."))
    'spring.xlsx: the file is cut short. Copy it again and retry.'
    """

    def __init__(self, why: str, *, way_out: str = "") -> None:
        self.why = why
        self.way_out = way_out
        super().__init__(f"{why} {way_out}".strip())
