"""What a network that stands for another one passes on as it is."""

from __future__ import annotations

from attrs import define

from bridgewire.physics.network import Floats, Ints, Network


@define(eq=False)
class PassedOn:
    """Base of networks that cut the segments of another one; `solve` and `take` are their own."""

    inner: Network

    @property
    def circuit_of_string(self) -> Ints:
        """As of the network inside."""
        return self.inner.circuit_of_string

    @property
    def circuit_of_branch(self) -> Ints:
        """As of the network inside."""
        return self.inner.circuit_of_branch

    @property
    def capacitance_F(self) -> Floats:
        """As of the network inside, F."""
        return self.inner.capacitance_F

    @property
    def emf_V(self) -> Floats:
        """As of the network inside, V."""
        return self.inner.emf_V
