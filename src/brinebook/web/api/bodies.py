"""What programs send."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict, Field

Text = Field(default="", max_length=2000)


class NewFact(BaseModel):
    """A fact in the columns of history.csv; without ``when`` it is now."""

    model_config = ConfigDict(extra="forbid")

    kind: str = Field(max_length=40, examples=["test"])
    what: str = Field(default="", max_length=2000, examples=["alkalinity"])
    value: str = Field(default="", max_length=200, examples=["8.2"])
    unit: str = Field(default="", max_length=100, examples=["dKH"])
    detail: dict[str, str] = Field(default_factory=dict, max_length=60)
    when: str | None = Field(default=None, max_length=60, examples=["2026-03-01T09:00:00+00:00"])


class NewFacts(BaseModel):
    """Several facts, all written or none; with a ``key``, sending them twice changes nothing."""

    model_config = ConfigDict(extra="forbid")

    facts: list[NewFact] = Field(min_length=1, max_length=500)
    key: str = Field(default="", max_length=100)


class NewReading(BaseModel):
    """A reading of a probe, in the columns of probes.csv."""

    model_config = ConfigDict(extra="forbid")

    when: str = Field(max_length=60, examples=["2026-03-01T09:00:00+00:00"])
    probe: str = Field(max_length=200, examples=["display"])
    value: float = Field(examples=[25.3])
    unit: str = Field(default="", max_length=100, examples=["C"])


class NewReadings(BaseModel):
    """Several readings, written together or not at all; those known already change nothing."""

    model_config = ConfigDict(extra="forbid")

    readings: list[NewReading] = Field(min_length=1, max_length=5000)
