"""How long the demo takes to read, settle, check, print and set."""

from __future__ import annotations

import time
import tomllib

from bench.timing import seconds, tell
from kinlight.cli.show import plan_text
from kinlight.plan.check import check
from kinlight.plan.export import plan_json
from kinlight.plan.settle.settle import settle
from kinlight.sheets.set_sheet import set_sheet_pdf
from kinlight.sitting.files import parse
from kinlight.sitting.starter import demo_text

TARGET_S = 1.5


def main() -> None:
    """Time each step of planning the demo."""
    document = tomllib.loads(demo_text())
    sitting = parse(document)
    begin = time.process_time()
    settled = settle(sitting)
    tell("settle the demo, cold", time.process_time() - begin)
    begin = time.process_time()
    plan = check(settled)
    tell("check the settled demo, cold", time.process_time() - begin)
    tell("read the demo", seconds(lambda: parse(document)))
    tell("settle the demo", seconds(lambda: settle(sitting), times=3))
    tell("check the settled demo", seconds(lambda: check(settled)), TARGET_S)
    tell("print the plan", seconds(lambda: plan_text(plan)))
    tell("the plan as JSON", seconds(lambda: plan_json(plan)))
    tell("the set sheet as PDF", seconds(lambda: set_sheet_pdf(plan), times=3))
