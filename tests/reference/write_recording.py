"""Writes a recording with h5py from recordings/SCHEMA.md alone, in h5py's own default format and
with its variable-length texts, and with extras that a reader must ignore."""
import sys

import h5py
import numpy as np

TEXT = h5py.string_dtype("utf-8")
N = 7

with h5py.File(sys.argv[1], "w") as f:
    f.attrs["format"] = "strapline-recording"
    f.attrs["schema_major"] = 1
    f.attrs["schema_minor"] = 4
    f.attrs["x_colour"] = "amber"
    f.attrs["source"] = "imported"
    s = f.create_group("set")
    s.attrs["client"] = "stretcher lead"
    s.attrs["movement"] = "squat"
    s.attrs["load_kg"] = 40
    s.attrs["pain_0_to_10"] = 0.0
    s.attrs["notes"] = "ä note – with “signs”"
    f.create_group("parts").attrs["set_s"] = np.array([10.0, 10.06])
    f.create_group("x_own/deeper").create_dataset("thing", data=np.arange(3))
    for index, placement in enumerate(["right_shank", "left_thigh"]):
        strap = f.create_group(f"straps/strap number {index}")
        strap.attrs["placement"] = placement
        strap.attrs["index"] = index
        strap.attrs["rate_hz"] = 100
        strap.attrs["tick_hz"] = np.float32(32768)
        strap.attrs["device_id"] = np.uint64(2**64 - 1 - index)
        counts = strap.create_dataset(
            "counts", data=(np.arange(N * 6).reshape(N, 6) - 20 + index).astype(np.int16))
        counts.attrs["unit"] = "count"
        counts.attrs["acc_scale"] = 0.001
        counts.attrs["acc_unit"] = "m/s^2"
        counts.attrs["gyr_scale"] = 0.0005
        counts.attrs["gyr_unit"] = "rad/s"
        tick = strap.create_dataset("tick", data=np.arange(N, dtype=np.int64) * 328, compression="gzip")
        tick.attrs["unit"] = "tick"
        time = strap.create_dataset("time", data=10.0 + np.arange(N) / 100.0)
        time.attrs["unit"] = "s"
        time.attrs["x_note"] = [1, 2, 3]
    f["straps"].create_dataset("x_loose", data=1)
