"""The sites found as one JSON document."""

from __future__ import annotations

from terrain_head.report.measurement import Json, measurement
from terrain_head.search.ranked_sites import SiteAnswer, Spot


def sites_document(answer: SiteAnswer) -> Json:
    """Return the sites as a document: metric, best first.

    Parameters
    ----------
    answer
        The sites.
    """
    sites = answer.sites
    return {
        "title": answer.title,
        "intake": _spot(answer.intake),
        "would_work": answer.would_work,
        "sites": [
            {
                "ram": _spot(answer.rams[n]),
                "tank": _spot(answer.tanks[n]),
                "fall": measurement(sites.fall_m[n], "m"),
                "lift": measurement(sites.lift_m[n], "m"),
                "stand": measurement(sites.stand_m[n], "m"),
                "drive_length": measurement(sites.drive_m[n], "m"),
                "delivery_length": measurement(sites.delivery_m[n], "m"),
                "lengths_known": bool(sites.lengths_known[n]),
                "per_day": measurement(
                    sites.delivered_m3_s[n], "m3/d", std_si=float(answer.std_m3_s[n])
                ),
                "like_the_first": bool(answer.alike[n]),
                "chance": None if answer.chance is None or answer.chance[n] != answer.chance[n]
                else float(answer.chance[n]),
            }
            for n in range(len(sites))
        ],
    }  # fmt: skip


def _spot(spot: Spot) -> Json:
    return {"name": spot.name or None, "elevation": measurement(spot.elevation_m, "m")}
