"""Screw length: does each screw hold enough thread without running out of it?

What it checks
    Every kind of screw under `screws`: that a length exists, or that the stated length is one, with which the thread is
    engaged far enough and the end stays clear of the end of the usable thread by the spare asked for. Through bolts
    with a nut: that at least one full thread stands out.

Why it matters
    A riser or a pad that grows takes the screw with it. Too short, and the thread in an aluminium case strips at the
    first kerb; too long, and the screw bottoms out, feels tight and clamps nothing.

How it is measured
    The grip is what is clamped: parts by their size along the screw, washers by their standard, stated thicknesses.
    Window: from grip + engagement to grip + usable depth - spare. It is nominal; in the worst case every clamped
    thickness, the depth and the screw's own length (product grade A) come out the unkind way. The engagement is the
    layout's own, or the larger of what sources publish for the material and class; where they disagree both are shown.
    One asked for below every published figure, and not known by the part maker's data sheet, cannot be told.
    Lengths are the first-choice ones that the head standard makes. Where plain shank would stand beyond the grip, the
    screw runs tight on it and clamps nothing: not met, however deep the thread.

Example
    M8 through a washer 1.6, a flange 2.0, a seal 3.0 and a riser 35 into aluminium, usable depth 20, engagement 2 d,
    spare 2: grip 41.6, window 57.6 to 59.6. No first-choice length lies in it; with one more washer 1.6 it is 59.2 to
    61.2, and 60 fits.

How to mend
    Put in the washer or plate that is named, or take the standoff and screw that are listed together. A length that
    fits in the drawing only is settled by measuring the screws that are on the bench, or the thickness named.

Source
    Lengths ISO 888 and the head standards; tolerance of length ISO 4759-1 product grade A; washers ISO 7089; nuts
    ISO 4032; engagement by several makers' sheets. How each figure was checked stands with the tables.
"""

from __future__ import annotations

from dataclasses import replace

from fitcheck.checks.concede import concede
from fitcheck.checks.settle import NO_SINGLE_VALUE
from fitcheck.errors import OutsideTable
from fitcheck.findings import TOUCH_MM, Band, Finding, Rule, Sense, Status, judge
from fitcheck.model.part import Build
from fitcheck.model.sections import MAKERS_WORD, Screw
from fitcheck.sources import Source
from fitcheck.stack.lengths import Fit, own_pm
from fitcheck.stack.screw_rows import fit_or_why
from fitcheck.standards.engagement import Engagement, engagement
from fitcheck.standards.screw_lengths import PREFERRED_SOURCE
from fitcheck.study import Study

NAME = "screw length"
_OWN = Source(document="the layout's own screw")


def check(study: Study) -> list[Finding]:
    """One or two findings for each kind of screw, in file order: thread engaged, and room beyond its end."""
    found: list[Finding] = []
    for screw in study.layout.sections.screws:
        fit = fit_or_why(study, screw)
        found += [concede(study, each) for each in _findings(study, screw, fit)]
    return found


def _findings(study: Study, screw: Screw, fit: Fit | str) -> list[Finding]:
    blank = Finding(
        check=NAME,
        parts=(screw.name,),
        build=Build.PROPOSED,
        status=Status.NOT_CHECKED,
        rule=Rule(name=NAME, text=f"{screw.thread}, asked for under `screws`", source=_OWN),
        unit="mm",
    )
    if isinstance(fit, str):
        return [replace(blank, reason=fit)]
    if fit.length is None:
        return [_none_fits(blank, fit)]
    judge_by = study.layout.judge_by
    if fit.screw.into_nut is not None:
        beyond = fit.window.low - fit.grip.form.nominal
        standing = _judged(blank, fit, beyond, Sense.AT_LEAST, "nut and one pitch standing out", judge_by, study)
        return [_reached(standing, fit)]
    assert screw.usable_depth is not None  # noqa: S101 (the reader refuses a material without it)
    judged = _judged(blank, fit, fit.needed, Sense.AT_LEAST, "thread engaged", judge_by, study)
    engaged = _reached(_shallow(judged, fit, judge_by), fit)
    room = fit.window.high - fit.grip.form.nominal
    return [engaged, _judged(blank, fit, room, Sense.AT_MOST, "clear of the end of the thread", judge_by, study)]


def _none_fits(blank: Finding, fit: Fit) -> Finding:
    window = f"{fit.window.low:.1f} to {fit.window.high:.1f}" if fit.window.high < 1e9 else f"{fit.window.low:.1f} up"
    if fit.window.high < fit.window.low:
        reason = (
            f"the usable depth is too small: the window would run from {fit.window.low:.1f} to {fit.window.high:.1f}"
        )
        return replace(blank, status=Status.NOT_MET, reason=reason)
    mend = ""
    if fit.opened_by:
        addition, length = fit.choices[0]
        mend = f"{addition}: then {length:g} fits{_at_worst(fit, length)}"
    return replace(
        blank,
        status=Status.NOT_MET,
        rule=replace(blank.rule, source=PREFERRED_SOURCE),
        reason=f"no first-choice length lies between the ends of its window, {window} mm"
        + ("" if mend else "; no single washer or plate opens one"),
        mend=mend,
    )


def _at_worst(fit: Fit, length: float) -> str:
    """What the worst case leaves of a length that an addition opens."""
    pm = own_pm(fit.screw, length) + fit.addition_pm
    short = -fit.worst.shifted(fit.addition).spare(length, pm)
    if short <= 0.0:
        return ", in the worst case too"
    return f" in the drawing; at worst it misses by {short:.1f}, so measure the screws and what they clamp"


def _judged(
    blank: Finding, fit: Fit, required: float, sense: Sense, words: str, judge_by: str, study: Study
) -> Finding:
    nominal, down, up, rss = fit.engaged()
    # The layout's own limits have bands too: they count against the screw.
    down_more, up_more = _limit_band(fit, sense)
    band = Band(
        value=nominal,
        low=nominal - down - down_more,
        high=nominal + up + up_more,
        rss_low=nominal - (rss**2 + down_more**2) ** 0.5,
        rss_high=nominal + (rss**2 + up_more**2) ** 0.5,
    )
    status = judge(band, required, sense, judge_by)
    resting = tuple(
        name for name in fit.grip.values if name in study.layout.quantities and study.layout.quantities[name].is_guess
    )
    finding = replace(
        blank,
        status=status,
        rule=replace(blank.rule, text=f"{words}, {fit.thread.name} x {fit.length:g}"),
        band=band,
        required=required,
        sense=sense,
        rests_on_guess=resting,
    )
    if status is Status.CANNOT_TELL:
        return replace(finding, settle_by=_settling(finding, fit, judge_by))
    if status is Status.MET and resting:
        return replace(finding, status=Status.CANNOT_TELL, settle_by=f"measure {resting[0]}")
    return finding


def _reached(finding: Finding, fit: Fit) -> Finding:
    """A screw whose plain shank stands beyond what it clamps runs tight on the shank and holds nothing."""
    if fit.shank is None or fit.shank[1] <= TOUCH_MM or finding.status is Status.NOT_MET:
        return finding
    nominal, most = fit.shank
    status = Status.NOT_MET if nominal > TOUCH_MM else Status.CANNOT_TELL
    return replace(
        finding,
        status=status,
        reason=f"plain shank would stand up to {most:.1f} mm into the thread: it runs tight there and clamps nothing",
        settle_by="measure how far the thread runs" if status is Status.CANNOT_TELL else "",
        mend="take a screw threaded to the head",
    )


def _shallow(finding: Finding, fit: Fit, judge_by: str) -> Finding:
    """An engagement asked for below every published figure is no proof that the thread holds, unless a part maker
    gave it or the screw reaches the least published one all the same."""
    stated, into = fit.screw.engagement, fit.screw.into_material
    span = _weakest_published(fit.screw)
    if finding.status is not Status.MET or finding.band is None or span is None or stated is None:
        return finding
    least = span.low_x_d * fit.thread.diameter
    if fit.needed >= least - TOUCH_MM or stated.known_by in MAKERS_WORD:
        return finding
    if judge(finding.band, least, Sense.AT_LEAST, judge_by) is Status.MET:
        return finding
    said = "; ".join(dict.fromkeys(f"{row.source.document} ({row.source.verified})" for row in span.rows))
    return replace(
        finding,
        status=Status.CANNOT_TELL,
        reason=f"the {fit.needed:g} mm asked for is less than every published engagement in {into}, "
        f"from {least:g} mm: {said}",
        settle_by=f"the case maker's engagement, or ask for {span.low_x_d:g} d and more",
    )


def _weakest_published(screw: Screw) -> Engagement | None:
    """What sources ask for; of a class stronger than any row, what they ask for the strongest that has one, as it needs
    no less. None without a row for the material."""
    if screw.into_material is None:
        return None
    for class_name in (screw.property_class or "8.8", "10.9", "8.8", "6.8", "4.6"):
        try:
            return engagement(screw.into_material, class_name)
        except OutsideTable:
            continue
    return None


def _limit_band(fit: Fit, sense: Sense) -> tuple[float, float]:
    if sense is Sense.AT_LEAST:
        return fit.needed_above, fit.needed_below
    depth, spare = fit.screw.usable_depth, fit.screw.spare
    if depth is None:
        return 0.0, 0.0
    more_spare = (0.0, 0.0) if spare is None else (spare.below, spare.above)
    return depth.above + more_spare[0], depth.below + more_spare[1]


def _settling(finding: Finding, fit: Fit, judge_by: str) -> str:
    """The screw's own length, if knowing it would do; it is the one value that a caliper settles on the bench."""
    band, pm = finding.band, fit.pm
    if band is None or finding.required is None or pm <= 0.0:
        return NO_SINGLE_VALUE
    known = Band(
        value=band.value, low=band.low + pm, high=band.high - pm, rss_low=band.low + pm, rss_high=band.high - pm
    )
    if judge(known, finding.required, finding.sense, "worst case") is not Status.MET:
        return NO_SINGLE_VALUE
    room = known.low - finding.required if finding.sense is Sense.AT_LEAST else finding.required - known.high
    return f"screws.{fit.screw.name}.length to ± {max(room, 0.01):.2g} mm" if room > 0.0 else NO_SINGLE_VALUE
