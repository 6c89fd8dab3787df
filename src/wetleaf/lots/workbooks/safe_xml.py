"""XML read as a stream of tags, with no document type, no entities of its own, and nothing fetched."""

from collections.abc import Callable
from xml.parsers import expat

from wetleaf.lots.workbooks.containers import damaged

Start = Callable[[str, dict[str, str]], None]
End = Callable[[str], None]
Text = Callable[[str], None]


class _DocumentTypeError(Exception):
    pass


def stream(name: str, data: bytes, start: Start, end: End, text: Text) -> None:
    """Call `start`, `end` and `text` along a document; tag and attribute names come without their namespace.

    A document type is refused: it is the door through which entities are blown up, and no workbook has one.
    """
    parser = expat.ParserCreate()
    parser.buffer_text = True

    def refuse(*_: object) -> None:
        raise _DocumentTypeError

    def begin(tag: str, attributes: dict[str, str]) -> None:
        start(tag.rpartition(":")[2], attributes)

    parser.StartElementHandler = begin
    parser.EndElementHandler = lambda tag: end(tag.rpartition(":")[2])
    parser.CharacterDataHandler = text
    parser.StartDoctypeDeclHandler = refuse
    try:
        parser.Parse(data, True)
    except _DocumentTypeError:
        raise damaged(name, "it defines entities of its own, which no spreadsheet program writes") from None
    except expat.ExpatError as trouble:
        raise damaged(
            name, f"its XML breaks off ({expat.errors.messages.get(trouble.code, trouble)})"
        ) from trouble


def nothing(*_: object) -> None:
    """Ignore a tag."""
