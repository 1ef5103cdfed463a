"""An invented seed-drying plant with two years of records, to try Shaftside on.

Nothing here is real: plant, machines, people, documents and failures are made up. Every
number in it comes out of the real calculation sheets and goes in through the real sync.
"""
