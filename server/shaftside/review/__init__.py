"""The planner's reading of the record: a failure beside its installation, lists out, positions in."""

from shaftside.review.finding import Finding
from shaftside.review.findings import Review, review
from shaftside.review.importing import ImportPlan, ImportRow, plan_import
from shaftside.review.listing import harmless, write_csv

__all__ = [
    "Finding",
    "ImportPlan",
    "ImportRow",
    "Review",
    "harmless",
    "plan_import",
    "review",
    "write_csv",
]
