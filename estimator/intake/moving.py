"""Validated tables of handling and of the site into the frozen values of estimator.job and estimator.site."""

from estimator import job
from estimator.intake import handling_schema as schema
from estimator.intake.fields import read_coordinate
from estimator.site import LiftCar, Opening, Site, Stairs, Turn


def handling(table: schema.HandlingTable | None) -> job.HandlingPreferences:
    """How the workshop means to move one piece."""
    if table is None:
        return job.HandlingPreferences()
    return job.HandlingPreferences(
        table.carried,
        table.lifted_by,
        _picks(table.picks),
        table.vacuum,
        table.vacuum_holds,
        table.release,
        table.seal,
        table.hung_from,
        table.ground,
    )


def _picks(table: schema.PicksTable | None) -> job.Picks | None:
    if table is None:
        return None
    at = tuple((read_coordinate(x, table.unit), read_coordinate(y, table.unit)) for x, y in table.at)
    return job.Picks(at, table.angle, table.angle_from, table.insert_strength, table.sling_rating)


def in_place(table: schema.InPlaceTable | None) -> job.InPlace:
    """How one piece stands or hangs in use."""
    if table is None:
        return job.InPlace()
    return job.InPlace(
        outdoors=table.outdoors,
        dark=table.dark,
        honed=table.honed,
        cut_on_site=table.cut_on_site,
        overhang_m=table.overhang,
        hung=table.hung,
        anchors_m=None if table.anchors is None else tuple(table.anchors),
        anchor_height_m=table.anchor_height,
    )


def site(table: schema.SiteTable | None) -> Site | None:
    """The way in, in the order in which a piece meets it; None where nothing was measured."""
    if table is None:
        return None
    places: list[Opening | Turn | Stairs | LiftCar] = []
    if table.door is not None:
        places.append(Opening(table.door.name, table.door.width, table.door.height))
    places += [Turn(each.name, each.from_width, each.to, each.height) for each in table.turns]
    places += [Stairs(each.name, each.width, each.headroom, each.pitch) for each in table.stairs]
    if (lift := table.lift) is not None:
        if lift.door_width is not None and lift.door_height is not None:
            places.append(Opening("door of the lift car", lift.door_width, lift.door_height))
        places.append(LiftCar("lift car", lift.width, lift.depth, lift.height, lift.rating))
    return Site(tuple(places), table.distance, table.floor_load)
