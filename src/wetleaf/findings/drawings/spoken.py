"""Numbers as the pages say them: as many decimals as the scale deserves, and never without their doubt."""

import math

from wetleaf.findings.book import Answer, Dot, Estimate, Word

TYPOGRAPHIC = {"can't tell yet": "can’t tell yet"}


def said_number(value: float, *, span: float = 10) -> str:
    """Say a number with one decimal, or none on a scale of more than twenty steps.

    >>> said_number(5.62), said_number(-0.04), said_number(-1.2), said_number(83.4, span=100)
    ('5.6', '0.0', '−1.2', '83')
    """
    if not math.isfinite(value):
        return "can’t tell yet"
    decimals = 0 if span > 20 else 1
    text = f"{value:.{decimals}f}"
    if float(text) == 0:
        text = text.removeprefix("-")
    return text.replace("-", "−")


def said_tick(value: float) -> str:
    """Say a tick of a scale: whole numbers without a decimal.

    >>> said_tick(7.0), said_tick(2.5)
    ('7', '2.5')
    """
    return f"{value:g}".replace("-", "−")


def said_value(estimate: Estimate) -> str:
    """Say the estimate alone, for a place where the interval is drawn beside it."""
    return said_number(estimate.value, span=estimate.scale_high - estimate.scale_low)


def said_interval(estimate: Estimate) -> str:
    """Say the interval: "5.0 to 6.1", or that there is none."""
    if not has_interval(estimate):
        return "no interval"
    span = estimate.scale_high - estimate.scale_low
    return f"{said_number(estimate.low, span=span)} to {said_number(estimate.high, span=span)}"


def said_estimate(estimate: Estimate) -> str:
    """Say a number with its doubt.

    >>> said_estimate(Estimate(5.6, 5.0, 6.1, 0, 7))
    '5.6 (5.0 to 6.1)'
    """
    return f"{said_value(estimate)} ({said_interval(estimate)})"


def said_scale(low: float, high: float) -> str:
    """Say a scale: "0 to 7"."""
    return f"{said_tick(low)} to {said_tick(high)}"


def said_answer(answer: Answer) -> str:
    """Say one of the three answers, or why it was not asked."""
    if answer.answer is None:
        return answer.not_asked or "not asked"
    return TYPOGRAPHIC.get(answer.answer, answer.answer)


def said_dot(dot: Dot) -> str:
    """Say one lot's place in a row: "Stone Basin 1.6 (1.1 to 2.1)"."""
    return f"{dot.label} {said_estimate(dot.estimate) if dot.estimate else 'not scored'}"


def said_word(word: Word) -> str:
    """Say a word, "no smoke" when it was looked for and not found.

    >>> said_word(Word("smoke", absent=True)), said_word(Word("malt"))
    ('no smoke', 'malt')
    """
    return f"no {word.text}" if word.absent and not word.text.startswith("no ") else word.text


def has_interval(estimate: Estimate) -> bool:
    """Whether the interval has two ends that can be drawn."""
    return math.isfinite(estimate.low) and math.isfinite(estimate.high)
