"""The cautions that the workbook carries wherever work can hurt someone."""

from __future__ import annotations

from ...models.farm import Farm

DESIGN = (
    "Design: the design tensions, holdings and safety factors are inputs or common starting "
    "points, not an engineer's approval. Before anything is ordered or laid, a licensed engineer "
    "must accept them, with pull tests of the chosen anchors on the site's own seabed."
)

LOCAL = (
    "Rules: local codes, class and licence conditions for the site come before anything written "
    "here."
)

WORK = (
    "Work: lifts, setting pulls and lines under tension can kill. A line that parts, or an anchor "
    "that lets go, snaps back along its line: keep everyone out of that path and from under loads. "
    "Competent crews plan and lead the work under the vessel's master, with certified gear."
)

CAUTIONS = (DESIGN, LOCAL, WORK)


def pull_words(farm: Farm) -> str:
    """Return what it means that the setting pull raises the holding; "" where it does not."""
    project = farm.project
    if not project.setting_pull_counts:
        return ""
    return (
        "By the project's setting the setting pull raises the holding of anchors that stand alone "
        "on their line: each is relied on for more because it stands "
        f"{project.setting_pull_share:.0%} of design tension when it is laid (of a line that lies: "
        "the pull recorded). An anchor "
        "that does not stand its pull, felt at the anchor and held, must not be left in. It is not "
        "for clay that sets up after the pull, nor against what cyclic load takes away. That it "
        "may count is for the licensed engineer of the farm to decide."
    )


PULLS = (
    "Pull tests: every figure from a pull test is of that anchor, that seabed and that day, not a "
    "design value. A licensed engineer must accept what is relied on, with tests on the site's "
    "own seabed. A pull test is itself dangerous: a line that parts or an anchor that lets go "
    "can kill."
)
