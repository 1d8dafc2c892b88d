"""Which expectations are in force (design section 6), from the body style's data."""


def in_force(item, vehicle, asked=None):
    """Unknown year, drive or region counts as matching; a range matches if any year does."""
    asked = asked or {}
    drive = asked.get("drive") or vehicle.get("drive")
    if item["drives"] is not None and drive is not None and drive not in item["drives"]:
        return False
    if item["common_from"] is None:
        return True
    years = vehicle.get("years")
    latest = asked.get("year") or (years[1] if years else None)
    if latest is None:
        return True
    region = asked.get("region") or vehicle.get("region")
    # A region the data does not name is as good as unknown: the earliest of all.
    first = item["common_from"].get(region) if region else None
    return latest >= (first if first is not None else min(item["common_from"].values()))


def marks(items, vehicle, spans, asked=None):
    made = []
    for item in items:
        if in_force(item, vehicle, asked):
            length = spans[item["span"]].length
            made.append({
                "id": item["id"], "span": item["span"],
                "low": item["from_share"] * length, "high": item["to_share"] * length,
            })
    return made
