"""What a recipe may say: every dimension with the widest range that makes sense, every form."""

from __future__ import annotations

STANDINGS = ("source", "derived", "from memory", "common practice", "invented")

DIMENSIONS: dict[str, tuple[float, float]] = {
    "length_mm": (4, 70),
    "body_width_mm": (1.2, 30),
    "taper_deg": (-10, 12),
    "platform_width_mm": (1.2, 9),
    "flange_mm": (-25, 2.5),
    "collar_height_mm": (0, 7),
    "shoulder_rise_mm": (0, 1.5),
    "thread_pitch_mm": (0.2, 3),
    "thread_depth_mm": (0.05, 1.5),
    "apex_plain_mm": (0, 5),
    "micro_height_mm": (0.5, 4),
    "micro_pitch_mm": (0.15, 0.5),
    "micro_depth_mm": (0.04, 0.2),
    "top_flats_mm": (1.5, 4),
    "top_height_mm": (0.3, 2),
    "bore_depth_mm": (2, 12),
    "well_width_mm": (1, 4),
    "well_taper_deg": (0, 5),
    "mouth_width_mm": (1.2, 5),
    "mouth_cone_deg": (0, 60),
    "mouth_depth_mm": (0, 5),
    "index_flats_mm": (1.2, 4),
    "index_depth_mm": (0.5, 4),
    "lobe_reach_mm": (0.8, 2.5),
    "lobe_width_mm": (0.5, 2),
    "vent_width_mm": (0.3, 5),
    "vent_height_mm": (0.3, 6),
    "vent_from_apex_mm": (1, 8),
    "wall_mm": (0.2, 1),
    "hollow_length_mm": (2, 10),
    "perforation_width_mm": (0.3, 1.5),
    "perforation_spacing_mm": (0.6, 3),
    "apex_round_mm": (0.05, 3),
    "flute_length_mm": (1, 8),
    "flute_width_mm": (0.4, 2),
    # from here on later additions: their order keeps the draws of the entries above as they were
    "coronal_width_mm": (1.2, 30),
    "bore_width_mm": (1, 4),
    "opening_width_mm": (1.2, 5),
    "thread_deepening": (0, 1.8),  # growth of the depth over the length, as a share of mid depth
    "step_count": (2, 5),
    "groove_width_mm": (0.4, 2),
    "groove_length_mm": (1, 10),
    "sleeve_depth_mm": (0.05, 1.5),
    "sleeve_start_mm": (0.5, 6),
    "sleeve_length_mm": (1, 10),
    "grain_mm": (0.05, 0.4),
    "plate_thickness_mm": (0.6, 2.5),
    "plate_turn_deg": (-90, 90),
    "head_width_mm": (1.2, 5),
    "head_height_mm": (1, 10),
    "base_bar_mm": (5, 40),
}
ALWAYS = ("length_mm", "taper_deg", "apex_round_mm")
FORMS: dict[str, tuple[str, ...]] = {
    "collar": ("straight", "tulip", "sloped"),
    "apex": ("flat", "dome", "pointed", "open"),
    "thread": ("none", "v", "rounded", "square", "rings", "buttress", "reverse buttress"),
    "starts": ("1", "2", "3"),
    "screw": ("none", "M1.4", "M1.6", "M1.8", "M2", "M2.5", "UNF 1-72"),
    "index": (
        "none",
        "male hexagon",
        "hexagon",
        "three lobes",
        "male octagon",
        "spline teeth",
        "octagon",
        "twelve points",
        "cam grooves",
    ),
    "vents": ("none", "one", "crossed"),
    "micro_threads": ("no", "yes"),
    "flutes": ("none", "three", "four"),
}
# forms drawn from a stream of their own, so that they leave the draws of the others as they were
LATER_FORMS: dict[str, tuple[str, ...]] = {
    "rim": ("free", "flush", "flared", "back-tapered"),
    "body": ("revolved", "plate"),
    "steps": ("no", "yes"),
    "hollow": ("no", "yes"),
    "perforations": ("yes", "no"),  # only where there is a hollow to open
    "grooves": ("none", "two", "three"),
    "bore": ("yes", "no"),  # "no" wherever a head leaves no place for one
    "bar": ("no", "yes"),
    "head": ("none", "post", "ball", "square"),
    "sleeve": ("none", "beads", "tantalum"),
    "material": ("titanium", "ti_6al_4v", "zirconia", "alumina", "cobalt_chromium", "steel"),
    "inset": ("by mouth", "no", "yes"),  # of the part seated, where it meets the platform
}
ALL_FORMS = FORMS | LATER_FORMS
MALE = {"male hexagon": 6, "male octagon": 8}  # sides of a prism on the platform
OUTSIDE = (*MALE, "spline teeth")
