"""What a wall adds to the room inside it: from interior to outside and back.

A panel slides into the slot of an edge profile. Between the room inside and the outer face lie
the profile's inner leaf, its slot and its outer leaf; with ``f`` the outer leaf, ``s`` the slot
and ``wi`` the inner leaf the wall build-up is ``T = f + s + wi``. Everything here is a closed
formula on the builder's own measured :class:`~fitkit.payload.model.Profile`; no outside source
is needed.
"""

from __future__ import annotations

from fitkit.payload.model import Profile


def build_up_mm(profile: Profile) -> float:
    """Thickness of a wall between the room inside and the outer face [mm]: T = f + s + wi.

    Valid for leaves and slots of zero or more (the sheet sees to that).

    >>> build_up_mm(Profile())
    10.0
    """
    return profile.outer_leaf_mm + profile.slot_mm + profile.inner_leaf_mm


def outside_mm(
    interior_mm: tuple[float, float, float], *, profile: Profile
) -> tuple[float, float, float]:
    """Outside size over the profiles [mm] of an interior (length, width, height): E = I + 2 T.

    Latches, handles and feet stand out further; they are not counted.

    >>> outside_mm((580.0, 380.0, 280.0), profile=Profile())
    (600.0, 400.0, 300.0)
    """
    both = 2 * build_up_mm(profile)
    length, width, height = interior_mm
    return (length + both, width + both, height + both)


def interior_mm(
    outside_mm: tuple[float, float, float], *, profile: Profile
) -> tuple[float, float, float]:
    """Room inside [mm] of a case of that outside size: I = E - 2 T, the inverse of the above.

    A size that the walls alone use up comes back as zero or less: no such case exists, and the
    caller says so.

    >>> interior_mm((600.0, 400.0, 300.0), profile=Profile())
    (580.0, 380.0, 280.0)
    """
    both = 2 * build_up_mm(profile)
    length, width, height = outside_mm
    return (length - both, width - both, height - both)


def least_depth_mm(profile: Profile) -> float:
    """Least inside depth of a half [mm] whose corners can still be made: k + q - T, never below 0.

    A half of outside height h = depth + T has uprights of length h - k - q, with ``k`` the
    corner's allowance and ``q`` the leaf of the closing profile; they cannot be shorter than
    nothing, so depth >= k + q - T.

    >>> least_depth_mm(Profile())
    45.0
    """
    return max(0.0, profile.corner_mm + profile.closing_leaf_mm - build_up_mm(profile))


def plank_depths_mm(planks_mm: tuple[float, ...], *, profile: Profile) -> tuple[float, ...]:
    """The inside depths of halves whose walls are as wide as planks [mm], the least first.

    The wall of a half of outside height h is h - (e + g) - (d + g) wide, with ``e`` the bottom of
    the slot, ``d`` the rim between slot and closing plane and ``g`` the play; h is the inside depth
    and one build-up T. Of the two rims the smaller counts: the wall on the other side of the
    closing plane is sawn down by their difference. A plank too narrow for any half is left out.

    >>> plank_depths_mm((80.0, 120.0), profile=Profile())
    (85.0, 125.0)
    """
    rim = min(profile.tongue_rim_mm, profile.groove_rim_mm)
    bottom = profile.outer_leaf_mm + profile.slot_mm + profile.slot_web_mm
    extra = bottom + rim + 2 * profile.play_mm - build_up_mm(profile)
    least = least_depth_mm(profile)
    depths = sorted({round(width + extra, 6) for width in planks_mm})
    return tuple(depth for depth in depths if depth >= least - 1e-9)


def least_side_mm(profile: Profile) -> float:
    """Least inside length or width [mm]: edge profiles of length E - 2 k are not below nothing.

    E = I + 2 T, so I >= 2 (k - T), never below 0.

    >>> least_side_mm(Profile())
    40.0
    """
    return max(0.0, 2 * (profile.corner_mm - build_up_mm(profile)))
