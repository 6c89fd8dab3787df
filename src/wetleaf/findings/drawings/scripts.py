"""Names written in Chinese, Japanese or Korean inside other text: each run with the language it speaks.

A run carries its language so that a font shows the right forms of its characters and keeps a name unbroken.
"""

import re

_EASTERN = re.compile(
    "[\u1100-\u11ff\u2e80-\u2fdf\u3005-\u3007\u3040-\u30ff\u3130-\u318f\u3400-\u4dbf\u4e00-\u9fff"
    "\uac00-\ud7af\uf900-\ufaff\uff66-\uff9f\U00020000-\U0003ffff·・]+"
)
_KANA = re.compile("[\u3040-\u30ff\uff66-\uff9f]")
_HANGUL = re.compile("[\u1100-\u11ff\u3130-\u318f\uac00-\ud7af]")


def runs_of_script(text: str) -> tuple[tuple[str, str], ...]:
    """Cut a text into runs of (text, language); the language is empty for what is not written in the East.

    >>> runs_of_script("Stone Basin 石盆")
    (('Stone Basin ', ''), ('石盆', 'zh-Hant'))
    >>> runs_of_script("검은담")
    (('검은담', 'ko'),)
    """
    runs: list[tuple[str, str]] = []
    reached = 0
    for match in _EASTERN.finditer(text):
        if not _is_name(match.group()):
            continue
        runs.append((text[reached : match.start()], ""))
        runs.append((match.group(), language_of(match.group())))
        reached = match.end()
    runs.append((text[reached:], ""))
    return tuple(run for run in runs if run[0])


def eastern_signs(text: str) -> set[str]:
    """Return the signs of a text that are written in the East.

    >>> sorted(eastern_signs("Lugu é 石盆"))
    ['盆', '石']
    """
    return {sign for run, language in runs_of_script(text) if language for sign in run}


def language_of(name: str) -> str:
    """Guess the language of a name from its signs; what could be either is read as Traditional Chinese.

    >>> language_of("胡桃石"), language_of("さえみどり"), language_of("白鹭湾"), language_of("鐵彎")
    ('zh-Hant', 'ja', 'zh-Hans', 'zh-Hant')
    """
    if _HANGUL.search(name):
        return "ko"
    if _KANA.search(name):
        return "ja"
    if _can_be_written(name, "gb2312") and not _can_be_written(name, "big5"):
        return "zh-Hans"
    return "zh-Hant"


def _is_name(run: str) -> bool:
    return any(sign not in "·・" for sign in run)


def _can_be_written(name: str, encoding: str) -> bool:
    try:
        name.encode(encoding)
    except UnicodeEncodeError:
        return False
    return True
