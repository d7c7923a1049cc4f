"""What was looked for on one body: holes, channel, threads, steps and flutes, each a finding."""

from __future__ import annotations

from features import bore, helix, top, vents
from features.body import Body
from features.cross_hole import CrossHole, find_cross_hole
from features.dense import dense_finding
from features.finding import Finding
from features.flutes import flutes_finding
from features.inset import inset_finding
from features.perforations import perforations_finding
from features.solid import solid_finding
from features.steps import steps_finding


def find_hole(body: Body, channel: bore.Bore) -> CrossHole | None:
    """The place most like a hole through the body, likely or not."""
    return find_cross_hole(
        body.strip,
        body.outline,
        body.gap_map,
        tip_px=body.tip_px,
        pitch_px=body.thread.pitch_px.value if body.thread.pitch_px else 0.0,
        channel_end_px=channel.end_px.value if channel.end_px else 0.0,
    )


def all_findings(
    body: Body,
    channel: bore.Bore,
    hole: CrossHole | None,
    *,
    fine: Finding,
    above: top.Top,
    gapped: bool,
) -> dict[str, Finding]:
    """Every finding by its key.

    `fine` is that of the fine threads at the neck, `above` what stands on the platform, `gapped`
    whether a gap shows beside a screw in the channel.
    """
    return {
        **helix.thread_and_rings(body.thread, body.helix, faint=body.gap_map.faint),
        "vents": vents.vents_finding(body.gap_map, hole, perforated=body.holed),
        "bore": channel.finding,
        "micro_threads": fine,
        "steps": steps_finding(body),
        "perforations": perforations_finding(holed=body.holed, faint=body.gap_map.faint),
        "flutes": flutes_finding(body, channel, hole, perforated=body.holed),
        "inset": inset_finding(above, body.mark),
        "dense": dense_finding(body.strip, body.outline, beside=body.gap_map.beside),
        "solid": solid_finding(channel.finding, above, gapped=gapped, faint=body.gap_map.faint),
    }
