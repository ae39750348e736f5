"""The transient of a tree circuit in machine code, one circuit at a time.

The mathematics and the order of decisions are those of `bridgewire.physics.transient`; a circuit
takes the same steps here and there. Only `bridgewire.physics.compiled` uses this package; importing
any of its modules but this one needs numba.
"""
