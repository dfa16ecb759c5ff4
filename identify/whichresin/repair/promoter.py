"""Is adhesion promoter needed: one of three answers, with its reason. It belongs to adhesive, not to a weld."""

from __future__ import annotations

from whichresin.engine.facts import Fact
from whichresin.knowledge.repair_model import Process

from .case import Case
from .plan import Reason

_ADHESIVE = "two_part_adhesive"
NOT_REQUIRED = "not_required"
_REQUIRED, _SHEET, _TRIAL = "required", "follow_product_sheet", "trial_first"


def promoter_of(case: Case, process: Process | None) -> tuple[str, Reason]:
    """(required, not_required or follow_product_sheet, why). `process` None: nothing is planned yet."""
    if process is not None and process.process != _ADHESIVE:
        return NOT_REQUIRED, Reason("Promoter belongs to adhesive; this process uses none on the plastic.")
    if case.gate.state != "open":
        return _SHEET, Reason("Nothing is bonded on this tool's word, so the maker's procedure says.")
    said = case.values("promoter")
    for value, answer in ((_REQUIRED, _REQUIRED), (_TRIAL, _SHEET), (_SHEET, _SHEET), (NOT_REQUIRED, NOT_REQUIRED)):
        if value in said:
            return answer, case.reasons.get(Fact("promoter", value), Reason(""))
    return _SHEET, Reason("The plastic is not known well enough to say; the adhesive's sheet and a trial patch decide.")
