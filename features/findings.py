"""What was looked for on one body: holes, channel, threads, steps and flutes, each a finding."""

from __future__ import annotations

from features import bore, crest, cross_band, flutes, helix, vents
from features.body import Body
from features.finding import Finding, Vent


def find_holes(
    body: Body, channel: bore.Bore
) -> tuple[cross_band.Band | None, tuple[tuple[Vent, float], ...]]:
    """Holes that open toward the beam, else one seen from its side; and the band found, if any."""
    end = channel.end_px.value if channel.end_px else 0.0
    band = cross_band.find_band(
        body.strip,
        body.outline,
        body.gap_map,
        tip_px=body.tip_px,
        pitch_px=body.thread.pitch_px.value if body.thread.pitch_px else 0.0,
        channel_end_px=end,
    )
    holes = vents.find_vents(
        body.gap_map, tip_px=body.tip_px, width_px=body.width_px, bore_end_px=end
    )
    return band, holes or vents.band_vents(
        band, body.gap_map, tip_px=body.tip_px, opened=body.opened
    )


def all_findings(
    body: Body,
    channel: bore.Bore,
    holes: tuple[tuple[Vent, float], ...],
    *,
    fine: Finding,
    band: cross_band.Band | None,
) -> dict[str, Finding]:
    """Every finding by its key; `fine` is that of the fine threads at the neck."""
    combed = bool(body.thread.pitch_px)
    perforations = vents.perforations_finding(
        body.strip, body.gap_map, tip_px=body.tip_px, width_px=body.width_px, band=band
    )
    return {
        **helix.thread_and_rings(body.thread, body.helix),
        "vents": vents.vents_finding(
            tuple(vent for vent, _ in holes),
            body.gap_map,
            band=band,
            perforated=perforations.state == "present",
        ),
        "bore": channel.finding,
        "micro_threads": fine,
        "steps": crest.steps_finding(body.outline, tip_px=body.tip_px, threaded=combed),
        "perforations": perforations,
        "flutes": flutes.flutes_finding(
            body.strip,
            body.outline,
            body.gap_map,
            tip_px=body.tip_px,
            pitch_px=body.thread.pitch_px.value if body.thread.pitch_px else 0.0,
            hollow=body.opened > 0.5,
        ),
    }
