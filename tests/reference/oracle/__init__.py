"""A second implementation of the zone mathematics, written from the design page alone.

It shares no code with the service. It takes a card file and, of the service's own answer,
only what the body style gives: centrelines, half-depths and the expectations' places.
Frame: x to the rear, y to the right, z up; millimetres.
"""
