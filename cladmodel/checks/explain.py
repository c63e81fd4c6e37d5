"""What each check measures, how, by which formula and source, and what to do: for ``check --explain``."""

from __future__ import annotations

from dataclasses import dataclass

from cladmodel.checks.thresholds import THRESHOLDS, Threshold


@dataclass(frozen=True, slots=True, kw_only=True)
class Explanation:
    """One check in words.

    Attributes
    ----------
    measures, how, formula, source, remedy : str
    """

    measures: str
    how: str
    formula: str
    source: str
    remedy: str


EXPLANATIONS: dict[str, Explanation] = {
    "solids": Explanation(
        measures="Whether every piece is a closed solid with a volume above 0.",
        how="Every directed edge of a piece's triangles must occur once and its reverse once; the volume of "
        "each closed shell is summed over its triangles.",
        formula="V = sum of a . (b x c) / 6 over the triangles.",
        source="divergence theorem",
        remedy="A fault here is a fault of the tool: please report the scene.",
    ),
    "lap": Explanation(
        measures="How far each board covers the one below it.",
        how="The solids are cut plumb at every batten and on both sides of every notch. Along the lower board's back, from its top back arris to "
        "the upper board's bottom back arris.",
        formula="For equal courses w - g cos(tilt).",
        source="Least lap is a field of the scene, since sources disagree: Ontario building code 9.27.6 (25, or "
        "width/16), NZ E2/AS1 (32), NAVEDTRA 14044 (25.4), an RMIT teaching page (about 30).",
        remedy="A smaller gauge (one more course) or a wider board.",
    ),
    "tilt": Explanation(
        measures="How far each board leans, against the boards round it and course 1 against the rest.",
        how="From the normals of each board's back, weighted by area.",
        formula="tilt = asin(t1 / (g sqrt(1 + k^2))) - atan k with k = (t1 - t2)/w for endless equal courses.",
        source="own derivation from the two contacts; limits 0.5 and 1 degree are common practice, no source",
        remedy="A starter of the right thickness; a packer behind a ripped top course.",
    ),
    "contact": Explanation(
        measures="Whether each board bears at its butt and at its top edge, and whether butts are level.",
        how="In plumb cuts at every batten: the space between the butt's back arris and the face below, and between "
        "the top edge and the batten or packer; below 0 when one is in the other.",
        formula="widest clear strip between two cut pieces (separating axes).",
        source="limits: 0.05 mm (thinnest feeler blade), 0.5 mm (no packer is thinner), 0.3 mm (a pencil line); "
        "common practice, no source",
        remedy="Hang the board on its rod mark so that it just touches; pack a cut top edge.",
    ),
    "cavity": Explanation(
        measures="The clear depth from membrane to board backs, whether every bay is open from foot to head, and whether anything covers the membrane everywhere.",
        how="Rays outward from the membrane; each bay is walked upward and must stay open except for the vent strip.",
        formula="distance to the first surface along the wall's normal.",
        source="least depth is a field of the scene: 19 (gov.scot), 21 (TDCA), 15-50 (NHBC), 20 (NZ); narrowest "
        "place 10 (BS 8200:1985 and NHBC 1992, found second-hand)",
        remedy="Thicker battens; clear or cut away what closes a bay.",
    ),
    "joints": Explanation(
        measures="Butt joints: on a batten's bearing at each side, gap, stagger, and rest between joints in a column; and whether boards reach the posts and trims they stop at.",
        how="From the ends of neighbouring boards of one course and the battens behind them, as these are cut half-way up the boards.",
        formula="length of batten under each end; distances between joint lines.",
        source="nail 20 from a board's end (TRADA 2022, p. 117); stagger and rest are common practice, no source",
        remedy="Move a joint to another batten, or double the batten.",
    ),
    "nails": Explanation(
        measures="Every board nail: through one board only, clear of the board below, into a batten, deep enough, "
        "off edges and ends; and every board held once at each batten it crosses.",
        how="Each nail's line is followed through the solids from head to point.",
        formula="lengths along the nail between the surfaces it passes.",
        source="penetration 6 d ringed (EN 1995-1-1 8.3.2(7)) and edge 5 d (table 8.2), found second-hand; end 20 "
        "(TRADA 2022, p. 117)",
        remedy="Nail just above the board underneath, never through it; a longer or shorter nail; double the batten.",
    ),
    "noses": Explanation(
        measures="How much posts and trims stand prouder than the noses of the boards that stop against them.",
        how="The furthest point of each board against the front of the piece it meets, at that point's height.",
        formula="difference of the two distances from the batten face.",
        source="2 mm, a shadow line: common practice, no source",
        remedy="A thicker post or trim, or thinner boards.",
    ),
    "slivers": Explanation(
        measures="Boards, or strips of boards, too low or too short to be nailed without splitting.",
        how="Height of each board's solid, up its slope, between its corners; its length along the wall.",
        formula="distance from the foot to the top of the back in a plumb cut.",
        source="60 and 600 mm: common practice, no source; both are fields of the scene",
        remedy="Move an opening, a joint or the courses.",
    ),
    "concealed": Explanation(
        measures="Whether fixings meant to be hidden can be seen from in front.",
        how="Sight lines from each head, up to 75 degrees aside and 60 up or down; each must meet something.",
        formula="first surface along each line.",
        source="by definition",
        remedy="Move the fixing behind a board.",
    ),
    "clashes": Explanation(
        measures="Whether any two pieces stand in each other.",
        how="Boxes first, then separating axes for convex pieces, an exact intersection for the others. Touching "
        "does not count.",
        formula="least distance that would part them, above 0.001 mm.",
        source="by definition",
        remedy="Move or cut one of the two.",
    ),
    "clearance": Explanation(
        measures="The lowest timber above finished ground.",
        how="The lowest vertex of boards, starter, battens, packers, posts, trims, sills and fillets.",
        formula="height above the ground line under it.",
        source="150 UK common practice, from memory; 100-175 (NZ E2/AS1 table 18)",
        remedy="Raise the foot or lower the ground.",
    ),
    "air": Explanation(
        measures="Free area of the gaps at foot, head, sills and opening heads, per metre and per bay, and the "
        "narrowest place of each bay's way for the air.",
        how="Slots and gaps are measured on the solids between neighbouring battens; what lies on a strip closes its slots.",
        formula="open area / length of wall.",
        source="sources disagree and the scene chooses: NZ E2/AS1 9.1.8.3 (1000 mm2/m), Scotland, masonry (300 mm2 at "
        "1.2 m), BS 8200:1985 (5000 mm2/m over a 10 mm path)",
        remedy="More or wider slots, a wider gap, finer mesh against insects.",
    ),
    "moisture": Explanation(
        measures="How boards move from the day they are hung to their driest and wettest: lap and gaps left when dry, "
        "clearance to the nail above left when wet, change of lean.",
        how="The wall is rebuilt with every board shrunk or swollen about its nails and measured again.",
        formula="EMC: Wood Handbook eq. 4-5. Movement: D C_T (M_F - M_I) from 6 to 14 % (eq. 13-2), "
        "D (M_F - M_I) / (30 100/S_T - 30 + M_I) outside (eq. 13-3, from memory).",
        source="USDA Wood Handbook FPL-GTR-282, found second-hand; Scots pine, Norway spruce, European larch and "
        "European oak borrow another species' figures and say so",
        remedy="Hang boards nearer their yearly mean, lap more, nail further above the board below.",
    ),
    "wind": Explanation(
        measures="Suction on every nail's own strip of wall against what the nail holds.",
        how="Zones A, B and C are laid out on the wall; each nail takes half the way to its neighbours.",
        formula="q_p = (1 + 7 I_v) rho v_m^2 / 2; withdrawal min(f_ax d t_pen; f_head d_h^2) and their reductions.",
        source="EN 1991-1-4 and EN 1995-1-1 8.3.2, found second-hand; parts are from memory and say so",
        remedy="Guidance only: an engineer decides. Longer, thicker or more nails, closer battens.",
    ),
    "fixings": Explanation(
        measures="Sizes, heads, lengths, metals, edge and end distances, and whether holes want drilling.",
        how="Each nail's place on its board and batten is measured on the solids.",
        formula="EN 1995-1-1 table 8.2, (8.18) and (8.19) in nail diameters; length 2 or 2.5 x board.",
        source="EN 1995-1-1, found second-hand; length by a supplier's guide; acidic species from memory",
        remedy="A headed, ringed, stainless nail of the right length; drill near ends.",
    ),
    "board_facts": Explanation(
        measures="Width to thickness, whether the square face is to the back, heart side, cut ends.",
        how="From the arrises of each board in plumb cuts; heart side and cut ends as the scene says.",
        formula="width / butt; angle between butt and back.",
        source="4 to 6 : 1 and 150 wide (BS 8605-1:2014, as read on a trade association's page)",
        remedy="Thicker or narrower boards; square face to the back; seal cut ends.",
    ),
}
"""By the check's name; every check has one."""


def thresholds_text(name: str) -> str:
    """The thresholds of one check, a line each.

    Parameters
    ----------
    name : str
    """
    return "\n".join(f"{own.rule}: {own.quantity}: {_said(own)} ({_basis(own)})" for own in THRESHOLDS[name])


def checks_markdown() -> str:
    """The document on checks: all thresholds in one table, then how each check measures."""
    lines = [
        _HEAD,
        "| check | rule | what is measured | gives | set by | no promise within |",
        f"{'| --- ' * 6}|",
    ]
    for name, own in THRESHOLDS.items():
        for rule in own:
            field = f"`{rule.field}`" if rule.field else ""
            unsure = f"{rule.tolerance:g}" if rule.tolerance else "0"
            lines.append(f"| {name} | {rule.rule} | {rule.quantity} | {_said(rule)} | {field} | {unsure} |")
    for name, words in EXPLANATIONS.items():
        lines += [
            f"\n## {name}\n",
            f"{words.measures}\n",
            f"- **How:** {words.how}",
            f"- **Formula:** {words.formula}",
            f"- **Source:** {words.source}",
            f"- **To do:** {words.remedy}",
        ]
        lines += [f"- **{rule.rule}**: {_said(rule)}. From: {_basis(rule)}." for rule in THRESHOLDS[name]]
        lines += [
            f"- **Not looked at ({rule.rule}):** {rule.apart}." for rule in THRESHOLDS[name] if rule.apart
        ]
    return "\n".join(lines) + "\n"


_HEAD = """# How each check measures

Every check reads the finished solids, never the scene. What it finds is `ok`, a `caution`, a `fail`, or
`not_assessed` where something it needs was not given. The figures below are those in use where a scene sets
none; the field that sets one is named. Within the last column's figure of a threshold neither verdict is
promised; it is float noise unless said otherwise below. `cladmodel check --explain lap` prints one section.

Each rule is tried by breaking sound walls at random places by random sizes, beyond its threshold and short of
it: `python tests/mutation/run.py --each 200` prints how many it caught, and how often it kept silent.

This page is written from the same figures that the checks use; a test holds it to them.
"""


def _said(rule: Threshold) -> str:
    limit = rule.limit()
    return f"{rule.verdict} {rule.worse} {limit.value:g} {limit.unit}".rstrip(" -")


def _basis(rule: Threshold) -> str:
    return rule.limit().basis.rstrip(".")
