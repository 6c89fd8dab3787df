"""A lot's page: its line on the first screen, its sentence, and everything below them."""

import math

from wetleaf.findings.assembling.again import tasted_again
from wetleaf.findings.assembling.anchors import anchor_of
from wetleaf.findings.assembling.answers import (
    gap_name,
    last_year_answer,
    papers_answer,
    said_change,
    target_answer,
)
from wetleaf.findings.assembling.as_shown import shown_elevation, shown_harvest
from wetleaf.findings.assembling.cases import LotCase
from wetleaf.findings.assembling.decided import noted_of
from wetleaf.findings.assembling.ladders import word_of
from wetleaf.findings.assembling.makings import making_rows
from wetleaf.findings.assembling.maps import said_nearest
from wetleaf.findings.assembling.papers import fact_rows
from wetleaf.findings.assembling.pictures import ladder_of, profile_of
from wetleaf.findings.assembling.sentences import (
    any_of,
    counted,
    is_or_are,
    listed,
    said_count,
    said_day,
    sentence,
)
from wetleaf.findings.assembling.settling import can_be_tasted, is_too_close, settlings
from wetleaf.findings.assembling.steps import Standing, next_step
from wetleaf.findings.book import (
    Answer,
    Estimate,
    Ground,
    LotPage,
    NextStep,
    RemarkAsWritten,
    Settling,
    Word,
)
from wetleaf.findings.drawings.spoken import said_estimate, said_number
from wetleaf.findings.grounds import Grounds
from wetleaf.findings.readings import liking
from wetleaf.findings.readings.groups import NOT_RANKED
from wetleaf.findings.readings.liking import LikedGroup, LikedLot
from wetleaf.findings.readings.words import NOBODY, SaidOfLot
from wetleaf.findings.records import RemarkRow
from wetleaf.trade.origins import find_place
from wetleaf.trade.questions import LANGUAGES, language_of, letter
from wetleaf.trade.stages import stage as stage_of


def lot_page(case: LotCase, grounds: Grounds) -> LotPage:
    """Put one lot's case into words and pictures."""
    overall = _overall(case, grounds)
    last_year, target = last_year_answer(case, grounds), target_answer(case, grounds)
    settle = settlings(case, target.answer)
    answers = (last_year, *_rival(case, grounds), target, papers_answer(case))
    ladder, profile = ladder_of(case), profile_of(case, grounds)
    stated, liked = case.stated, case.liked
    offer = stated.offer
    used = (
        overall.ground if overall else None,
        *(a.ground for a in answers),
        profile.ground if profile else None,
    )
    return LotPage(
        code=case.lot.code,
        name=case.lot.name,
        anchor=anchor_of("lot", case.lot.code),
        tea_class=case.group.class_name,
        line=case.lot.line,
        producer=case.lot.producer,
        verdict=case.verdict,  # type: ignore[arg-type]
        tasted=case.tasted,
        origin=_origin(case),
        harvest=shown_harvest(stated),
        harvest_from=stated.harvest_from,
        price_per_kg=offer.price_per_kg if offer else None,
        currency=offer.currency if offer else "",
        price_written=offer.written if offer else "",
        overall=overall,
        chance_best=liked.chance_best if liked else None,
        offer_written=offer.until_written if offer else "",
        placed_at=_as_estimate(liked) if liked and liked.ranked and liked.shown is not liked else None,
        on_shortlist=bool(liked and liked.ranked and case.lot.key in _shortlist(case)),
        last_year=last_year,
        target=target,
        gaps=tuple(gap_name(gap.what) for gap in case.gaps),
        doubts=tuple(f"{doubt.what}: {doubt.why}" for doubt in case.doubts),
        brews_left=case.leaf.brews if case.leaf else None,
        grams_left=case.leaf.grams if case.leaf else None,
        leaf_warning=case.leaf.warning if case.leaf else "",
        offer_until=case.offer_until,
        step=_step(case, target, settle),
        say=_say(case, overall),
        answers=answers,
        facts=fact_rows(stated, _doubts_by_field(case), making_rows(case.lot.code, case.season.records)),
        letters=_letters(case),
        ladder=ladder,
        profile=profile,
        remarks=tuple(_remark(case, remark) for remark in case.said.remarks) if case.said else (),
        last_year_words=_words(case.said_before),
        this_year_words=_words(case.said),
        settle=settle,
        grounds=tuple(dict.fromkeys(ground for ground in used if ground is not None)),
        again=tasted_again(case),
        noted=noted_of(case),
        price_lacks_weight=bool(offer and offer.lacks_weight),
        nearest=_nearest(case),
    )


def _nearest(case: LotCase) -> str:
    """Which lot stands nearest to it, where its cups can be mapped and one cup each is not all there is."""
    read = case.season.maps.get(case.profile.table.digest) if case.profile else None
    near = read.nearest_to(case.lot.key) if read else None
    return f"Nearest to it here: {said_nearest(near)}." if near and near.low is not None else ""


# --- how it is liked ---


def _shortlist(case: LotCase) -> tuple[str, ...]:
    return case.liked_group.shortlist if case.liked_group else ()


def _overall(case: LotCase, grounds: Grounds) -> Estimate | None:
    liked, group = case.liked, case.liked_group
    if liked is None or group is None:
        return None
    if group.used is None:
        return _liked_apart(case, liked, group, grounds)
    shown = liked.shown
    note = _said_cups(shown)
    if shown is not liked:
        note += f"; placed among the others by {_said_beside(liked)}"
    elif not liked.ranked and len(group.lots) > 1:
        note += "; not ranked with the others"
    note += "".join(f"; beside it {_said_beside(one)}" for one in liked.beside if one is not shown)
    ground = grounds.of(
        f"Which lot is liked best? {case.group.name}",
        method=liking.METHOD,
        digest=group.digest,
        rests_on=(
            (f"{len(group.used.ratings)} likings of {counted(len(group.used.lots), 'lot')}", group.used.told),
            (listed(sorted({rating.taster for rating in group.used.ratings})), "a claim about these people"),
            *((("Left out", group.left_out),) if group.left_out else ()),
        ),
    )
    return _as_estimate(shown, ground=ground, note=note)


def _as_estimate(liked: LikedLot, *, ground: Ground | None = None, note: str = "") -> Estimate:
    return Estimate(liked.value, liked.low, liked.high, *liked.scale, ground=ground, note=note)


def _said_cups(liked: LikedLot) -> str:
    """Say what a liking stands on: "two cups, one taster, blind"."""
    how = liked.told.split(",")[0]
    return f"{counted(liked.cups, 'cup')}, {counted(liked.tasters, 'taster')}, {how}"


def _said_beside(liked: LikedLot) -> str:
    """Say a liking that stands beside the one that is shown: "open, 7.3 of 10 in one cup"."""
    at = f"{said_number(liked.value)} of {liked.scale[1]:g}"
    return f"{liked.told.split(',')[0]}, {at} in {counted(liked.cups, 'cup')}"


def _liked_apart(case: LotCase, liked: LikedLot, group: LikedGroup, grounds: Grounds) -> Estimate:
    """How a lot is liked of which neither line nor class is said: its own cups and no rank."""
    cups = counted(liked.cups, "cup")
    ground = grounds.of(
        f"How much is {case.lot.key} liked?",
        method=liking.MEAN_METHOD,
        digest=group.digest,
        rests_on=((f"{cups} by {counted(liked.tasters, 'taster')}", liked.told),),
    )
    others = "".join(f"; beside it {_said_beside(one)}" for one in liked.beside)
    return _as_estimate(liked, ground=ground, note=f"{_said_cups(liked)}; {NOT_RANKED}{others}")


def _rival(case: LotCase, grounds: Grounds) -> tuple[Answer, ...]:
    """Is it the best of its kind? Asked where there is something to compare it with."""
    group, liked = case.liked_group, case.liked
    if group is None or liked is None or not liked.ranked:
        return ()
    question = f"Is it the best of {counted(sum(one.ranked for one in group.lots.values()), 'lot')}?"
    overall = _overall(case, grounds)
    ground = overall.ground if overall else None
    if group.best == case.lot.key:
        return (Answer(question, "yes", group.says.rstrip("."), ground=ground),)
    if case.lot.key in group.shortlist:
        return (Answer(question, "can't tell yet", group.says.rstrip("."), ground=ground),)
    return (Answer(question, "no", _ahead(group.shortlist), ground=ground),)


# --- the papers ---


def _origin(case: LotCase) -> str:
    region = case.stated.written("region")
    place = region if region else ""
    return ", ".join(part for part in (place, shown_elevation(case.stated)) if part)


_FIELD_OF_DOUBT = {
    "place": "region",
    "elevation": "elev",
    "cultivar": "cv",
    "oxidation": "ox",
    "residue_paper": "residue",
    "organic_certificate": "organic",
}


def _doubts_by_field(case: LotCase) -> dict[str, str]:
    said: dict[str, list[str]] = {}
    for doubt in case.doubts:
        said.setdefault(_FIELD_OF_DOUBT.get(doubt.field, doubt.field), []).append(
            f"{doubt.what}: {doubt.why}"
        )
    for gap in case.gaps:
        said.setdefault(_FIELD_OF_DOUBT.get(gap.field, gap.field), []).append(f"to be asked: {gap.why}")
    return {field: " ".join(sentence(text) for text in texts) for field, texts in said.items()}


def _letters(case: LotCase) -> tuple[tuple[str, str], ...]:
    if not case.asked:
        return ()
    own = language_of(find_place(case.stated.written("region")).country)
    languages = [own, *(other for other in LANGUAGES.values() if other.key != own.key)]
    name = case.lot.name or case.lot.code
    return tuple(
        (language.name, letter(case.asked, language.key, name, producer=case.lot.producer))
        for language in languages
    )


# --- the step ---


def _step(case: LotCase, target: Answer, settle: tuple[Settling, ...]) -> NextStep:
    liked, years = case.liked, case.years
    heavy = tuple(gap_name(gap.what) for gap in case.heavy_gaps)
    compared = liked is not None and liked.ranked
    return next_step(
        Standing(
            made_on=case.made_on,
            verdict=case.verdict,
            tasted=case.tasted,
            on_shortlist=case.lot.key in _shortlist(case) if compared else None,
            ahead=len(_shortlist(case)),
            chance_best=liked.chance_best if liked else None,
            last_year=years.answer if years and case.tasted else None,
            target=target.answer,
            moved=listed([change.label for change in years.moved[:3]]) if years else "",
            doubts=len(case.doubts),
            gaps=heavy,
            lighter_gaps=tuple(gap_name(gap.what) for gap in case.gaps if gap not in case.heavy_gaps),
            brews_left=case.leaf.brews if case.leaf else None,
            offer_until=case.offer_until,
            open=tuple(way for way in settle if can_be_tasted(way)),
            too_close=is_too_close(case),
            liked_share=_share_of_scale(liked.shown) if liked else None,
            liked_said=_said_mean(liked.shown) if liked else "",
            kind_is_known=case.group.can_be_ranked,
        )
    )


def _share_of_scale(liked: LikedLot) -> float:
    low, high = liked.scale
    return (liked.mean - low) / (high - low)


def _said_mean(liked: LikedLot) -> str:
    return f"{said_number(liked.mean)} of {liked.scale[1]:g} in {counted(liked.cups, 'cup')}"


# --- its sentence ---


def _say(case: LotCase, overall: Estimate | None) -> str:
    if not case.tasted:
        return " ".join(part for part in ("Not tasted yet.", _said_of_papers(case)) if part)
    parts = (_said_of_liking(case, overall), _said_of_last_year(case), _said_of_papers(case))
    return " ".join(part for part in parts if part)


def _ahead(shortlist: tuple[str, ...]) -> str:
    return f"{shortlist[0]} is ahead" if len(shortlist) == 1 else f"the best is among {listed(shortlist)}"


def _said_of_liking(case: LotCase, overall: Estimate | None) -> str:
    group, liked = case.liked_group, case.liked
    if overall is None or group is None or liked is None:
        word = {"keep": "Noted as a keep", "maybe": "Noted as a maybe", "no": "Noted as a no"}.get(
            case.verdict
        )
        return f"{word}; no liking was given." if word else "Words only; no liking was given."
    shown, how = liked.shown, liked.told.split(",")[0]
    if group.used is None:
        return f"Liked {_liked_at(shown)}; {NOT_RANKED}."
    if not liked.ranked:
        others = any(one.ranked for one in group.lots.values())
        beside = (
            f"tasted {how}, so not ranked with the others"
            if others
            else "nothing of its kind was liked beside it"
        )
        return f"Liked {_liked_at(shown)}; {beside}."
    place = _said_place(case, group, liked)
    if shown is liked:
        return f"{place}."
    return f"Blind it is liked {_liked_at(shown)}. By {how} likings: {place[:1].lower()}{place[1:]}."


def _said_place(case: LotCase, group: LikedGroup, liked: LikedLot) -> str:
    """Where it stands among the lots that were ranked with it."""
    ranked, at = sum(one.ranked for one in group.lots.values()), _liked_at(liked)
    if group.best == case.lot.key:
        return f"The best of the {said_count(ranked)} tasted {liked.told.split(',')[0]}, at {at}"
    if case.lot.key not in group.shortlist:
        return f"Not on the shortlist of its kind, at {at}"
    size = len(group.shortlist)
    if size == ranked:
        return f"{any_of(ranked)} of its kind may be the best; this one is at {at}"
    where = "At the head" if size == 1 else f"On a shortlist of {said_count(size)}"
    return f"{where} of {said_count(ranked)}, at {at}; no winner can be named yet"


def _liked_at(liked: LikedLot) -> str:
    if math.isfinite(liked.low):
        return said_estimate(_as_estimate(liked))
    at = f"{said_number(liked.value)} of {liked.scale[1]:g}"
    return f"{at}, one cup's word" if liked.cups == 1 else at


def _said_of_last_year(case: LotCase) -> str:
    years = case.years
    if years is None:
        return ""
    before = f"last year's {years.tea_before}"
    if years.answer == "yes":
        return f"For these tasters it is {before}, within the tolerance declared."
    if years.answer == "no" and years.moved:
        return sentence(f"{listed([said_change(change) for change in years.moved[:2]])} than {before}")
    # What is still open is named in the answer below; the sentence only says why there is none yet.
    why = years.why.split("; still open", 1)[0]
    return sentence(f"whether it is {before} can't be told yet: {why}")


def _said_of_papers(case: LotCase) -> str:
    if not case.doubts:
        return ""
    count = len(case.doubts)
    return sentence(f"{counted(count, 'thing')} in its papers {is_or_are(count)} to be asked about")


# --- words ---


def _words(said: SaidOfLot | None) -> tuple[Word, ...]:
    return tuple(word_of(phrase) for phrase in said.words) if said else ()


def _remark(case: LotCase, remark: RemarkRow) -> RemarkAsWritten:
    flight = case.season.records.flight_of.get(remark.flight) if remark.flight is not None else None
    how = [stage_of(remark.stage).name] if remark.stage else []
    if flight is not None:
        held = said_day(flight.held_on, seen_from=case.made_on) if flight.held_on else flight.told
        how += [held, "blind" if flight.blind else "open" if flight.blind is False else ""]
    return RemarkAsWritten(remark.text, remark.taster or NOBODY, ", ".join(part for part in how if part))
