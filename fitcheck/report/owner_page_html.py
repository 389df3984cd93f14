"""The owner's page as one HTML file: no script, nothing loaded from elsewhere, light and dark, one A4 page in print."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from fitcheck.report.owner_page import Bar, OwnerPage
from fitcheck.report.owner_page_drawing import Disc, Drawing, Item, Shape, Words, bar, most_of, plan, side
from fitcheck.report.owner_page_units import kept_whole, kept_with_unit

_STYLE = """
:root { color-scheme: light dark; --paper: #fff; --ink: #1c1c1c; --quiet: #595959; --faint: #8a8a8a; --body: #ececec;
  --pack: #cfdff0; --before: #9a9a9a; --after: #2b6aa8; --over: #a3341f; --rule: #c8c8c8; }
@media (prefers-color-scheme: dark) { :root { --paper: #17191b; --ink: #ececec; --quiet: #b0b0b0; --faint: #858585;
  --body: #2a2d30; --pack: #24405c; --before: #7d7d7d; --after: #6aa7e0; --over: #ec8168; --rule: #45494d; } }
* { box-sizing: border-box; }
body { margin: 0 auto; padding: 1rem; max-width: 52rem; background: var(--paper); color: var(--ink);
  font: 1rem/1.4 system-ui, "Segoe UI", "DejaVu Sans", sans-serif; overflow-wrap: break-word; }
h1 { font-size: 1.35rem; margin: 0; } h2 { font-size: 1rem; margin: 1rem 0 .3rem; }
p { margin: .2rem 0; } ul { margin: 0; padding-left: 1.1rem; } .quiet { color: var(--quiet); font-size: .85rem; }
.headline { margin: .7rem 0; padding: .6rem .8rem; border: 2px solid var(--after); border-left-width: .6rem;
  font-weight: 600; }
.headline.bad { border-color: var(--over); } .headline.open { border-color: var(--faint); border-style: dashed; }
.columns { display: grid; grid-template-columns: repeat(auto-fit, minmax(20rem, 1fr)); gap: .2rem 1.4rem; }
.columns.three { grid-template-columns: repeat(auto-fit, minmax(11rem, 1fr)); }
.load { display: grid; grid-template-columns: 7rem 1fr 17rem; gap: .1rem .8rem; align-items: center;
  border-top: 1px solid var(--rule); padding: .25rem 0; }
.load b { display: block; } .load b.over { color: var(--over); }
.load .figures { color: var(--quiet); font-size: .85rem; }
svg { width: 100%; height: auto; display: block; }
.slips { display: grid; grid-template-columns: repeat(3, 1fr); gap: .5rem; }
.slips div { border-bottom: 1px solid var(--ink); min-height: 2.3rem; color: var(--quiet); font-size: .85rem; }
.slips .box { grid-column: 1 / 4; border: 1px dashed var(--faint); min-height: 5rem; padding: .2rem .4rem; }
@media (max-width: 34rem) { .load { grid-template-columns: 1fr; }
  .slips { grid-template-columns: 1fr; } .slips .box { grid-column: 1; } }
@page { size: A4; margin: 8mm 11mm; }
@media print { :root { color-scheme: light; --paper: #fff; --ink: #000; --quiet: #444; --faint: #777; --body: #ececec;
    --pack: #cfdff0; --before: #9a9a9a; --after: #2b6aa8; --over: #a3341f; --rule: #c8c8c8; }
  * { print-color-adjust: exact; -webkit-print-color-adjust: exact; }
  body { display: flex; flex-direction: column; min-height: 272mm;
    padding: 0; max-width: none; font-size: 7.9pt; line-height: 1.2; }
  h1 { font-size: 13pt; } h2 { font-size: 8.8pt; margin: 1.6mm 0 .4mm; } .headline { margin: 1.4mm 0;
    padding: 1.4mm 2mm; }
  .columns { grid-template-columns: 1fr 1fr; gap: 0 6mm; } .columns.three { grid-template-columns: 1fr 1fr 1fr; }
  .load { grid-template-columns: 24mm 88mm 1fr; padding: .3mm 0; gap: 0 3mm; }
  .picture svg { width: 80%; margin: 0 auto; }
  .dense { font-size: 7.1pt; line-height: 1.15; } .dense h2 { margin: 1.1mm 0 .2mm; }
  .dense .picture svg { width: 66%; }
  .quiet, .load .figures, .slips div { font-size: 7pt; }
  .slips { flex: 1; grid-template-rows: auto 1fr auto; gap: 1.4mm 5mm; }
  .slips div { min-height: 6.5mm; } .slips .box { min-height: 12mm; } }
"""

MOST_AT_FULL_SIZE = 2100
"""Letters in the lists that fit on one printed page at the usual size."""

_SLIPS = (
    '<div class="slips"><div>front axle</div><div>rear axle</div><div>whole vehicle</div>'
    '<div class="box">room for the scale slips</div>'
    "<div>name</div><div>date</div><div>signature</div></div>"
)


def render(page: OwnerPage) -> str:
    """The whole file. Every text of the layout is escaped."""
    most = most_of(page.bars)
    parts = [
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>{escape(page.subject)}: {escape(page.title)}</title><style>{_STYLE}</style></head>",
        '<body class="dense">' if _is_dense(page) else "<body>",
        f'<h1>{escape(page.title)}</h1><p class="quiet">{escape(page.subject)}</p>',
        f'<p class="headline {page.mood}">{escape(kept_whole(page.headline))}</p>',
        '<div class="columns three">',
        _list("Taken out", page.out),
        _list("Put in", page.came),
        _list("Kept", page.kept),
        "</div>",
        "<h2>What the axles carry</h2>",
        *(_load(one, most) for one in page.bars),
        f'<p class="quiet">{escape(page.legend)}</p>',
        '<div class="columns">',
        *(f'<div class="picture">{_svg(view(page.vehicle))}</div>' for view in (side, plan)),
        _list("What changes", page.changes),
        _list("How sure this is", page.sure),
        _list("What to look after", page.look_after),
        _list("Be careful", page.cautions),
        "</div>",
        "<h2>Weighed when the work was done</h2>",
        _SLIPS,
        f'<p class="quiet">{escape(page.origin)}</p>',
        "</body></html>\n",
    ]
    return "\n".join(parts)


def _is_dense(page: OwnerPage) -> bool:
    """Whether there is so much to say that printed letters must be smaller for one page."""
    texts = (*page.changes, *page.sure, *page.look_after, *page.cautions, *page.out, *page.came, *page.kept)
    return sum(len(text) for text in texts) > MOST_AT_FULL_SIZE


def _list(title: str, texts: Sequence[str]) -> str:
    items = "".join(f"<li>{escape(kept_with_unit(text))}</li>" for text in texts) or "<li>nothing</li>"
    return f"<div><h2>{escape(title)}</h2><ul>{items}</ul></div>"


def _load(one: Bar, most: float) -> str:
    over = ' class="over"' if one.is_over else ""
    figures = one.figures.replace("limit ", "limit\u00a0")  # a line that ends in "limit" is read as if it had none
    return (
        f'<div class="load"><span>{escape(one.name)}</span>{_svg(bar(one, most))}'
        f"<div><b{over}>{escape(kept_with_unit(one.margin))}</b>"
        f'<span class="figures">{escape(kept_with_unit(figures))}</span></div></div>'
    )


def _svg(drawing: Drawing) -> str:
    body = "".join(_item(item) for item in drawing.items)
    return (
        f'<svg viewBox="0 0 {drawing.width:g} {drawing.height:g}" role="img" aria-label="{escape(drawing.says)}" '
        f'font-family="system-ui, DejaVu Sans, sans-serif">{body}</svg>'
    )


def _item(item: Item) -> str:
    match item:
        case Words():
            weight = ' font-weight="700"' if item.bold else ""
            return (
                f'<text x="{item.at[0]:.2f}" y="{item.at[1]:.2f}" font-size="{item.size:g}" '
                f'text-anchor="{item.anchor}" fill="var(--{item.style})"{weight}>{escape(item.text)}</text>'
            )
        case Disc():
            x, y = item.centre
            return f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{item.radius:.2f}" {_paint(item)}/>'
        case Shape():
            points = " ".join(f"{x:.2f},{y:.2f}" for x, y in item.points)
            kind = "polygon" if item.closed else "polyline"
            dashes = ' stroke-dasharray="1.5 1.2"' if item.dashed else ""
            return f'<{kind} points="{points}" {_paint(item)}{dashes}/>'


def _paint(item: Shape | Disc) -> str:
    fill = f"var(--{item.fill})" if item.fill else "none"
    line = f' stroke="var(--{item.line})" stroke-width="{item.width:g}"' if item.line else ""
    return f'fill="{fill}"{line} stroke-linejoin="round"'
