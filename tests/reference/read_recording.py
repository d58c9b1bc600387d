"""Prints what h5py finds in a recording or a logbook, as one JSON object; with --names the paths
of everything in it, one a line. Independent of the program: h5py and numpy only."""
import json
import sys

import h5py
import numpy as np


def plain(value):
    if isinstance(value, bytes):
        return value.decode()
    if isinstance(value, np.ndarray):
        return [plain(item) for item in value]
    if isinstance(value, (np.floating, float)):
        return None if np.isnan(value) else float(value)
    if isinstance(value, np.generic):
        return plain(value.item())
    return value


def attributes(thing):
    return {name: plain(value) for name, value in thing.attrs.items()}


def contents(group):
    out = {"attrs": attributes(group)}
    for name, child in group.items():
        if isinstance(child, h5py.Group):
            out[name] = contents(child)
        else:
            out[name] = {
                "attrs": attributes(child),
                "shape": list(child.shape),
                "dtype": str(child.dtype),
                "chunked": child.chunks is not None,
                "filters": [child.shuffle, child.compression, child.fletcher32],
                "extendible": child.shape != () and child.maxshape[0] is None,
                "data": plain(child[()]),
            }
    return out


def names(group, prefix=""):
    for attribute in group.attrs:
        yield f"{prefix}@{attribute}"
    for name, child in group.items():
        yield f"{prefix}/{name}"
        if isinstance(child, h5py.Group):
            yield from names(child, f"{prefix}/{name}")
        else:
            for attribute in child.attrs:
                yield f"{prefix}/{name}@{attribute}"


with h5py.File(sys.argv[-1], "r") as file:
    if sys.argv[1] == "--names":
        print("\n".join(names(file)))
    else:
        print(json.dumps(contents(file)))
