"""What must hold in every state: each computed from the raw log and the table of the trade."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from typing import Final

from tests.proof import guarded, trade
from tests.proof.history import is_cold, parts_off, value
from tests.proof.offered import State, Told
from weeptrace.job import holds


def opens_cold(state: State) -> Told:
    """Nothing that opens the system is offered unless it is measured cold and without pressure."""
    too = {*trade.OPENS_TOO}
    opens = trade.OPENS in state.hazards or state.sets & too
    if not opens or is_cold(state.history, state.now):
        return None
    return "offers to open a system that is not shown to be cold and without pressure"


def fan_off(state: State) -> Told:
    """Hands come near the fan only while its plug or the battery is off."""
    asking = state.sets & {*trade.FAN_OFF, *trade.FAN_ON, "arrival.cooled"}
    near = state.hazards & set(trade.NEAR_FAN) or state.sets & {*trade.OPENS_TOO}
    if asking or not near:
        return None
    return None if state.history.fan_is_off(state.now) else "the fan is live"


def key_away(state: State) -> Told:
    """Hands come near fan or belt, and to the fan's plug, only while no engine can start."""
    near = state.hazards & set(trade.NEAR_FAN) or state.sets & {
        *trade.OPENS_TOO, *trade.BELT_TOO, *trade.FAN_OFF,
    }  # fmt: skip
    if not near or state.sets & {"arrival.cooled"}:
        return None
    return None if state.history.key_is_away(state.now) else "the engine can start"


def touches_cool(state: State) -> Told:
    """A hand is on metal, or by an open neck at idle, only where it was measured cool before."""
    if not state.sets & {*trade.TOUCHES, *trade.OPEN_AT_IDLE}:
        return None
    return None if state.history.metal_is_cool(state.now) else "sends a hand to hot metal"


def oil_goes(state: State) -> Told:
    """No car is handed over with coolant and oil mixed, but for a tow or a person who answers."""
    if not state.sets & {*trade.LEAVES}:
        return None
    history = state.history
    overridden = all(history.said(name) is not None for name in trade.OVERRIDE)
    if overridden or history.said_anew(trade.DECIDED) == trade.TOWED or not history.oil():
        return None
    return f"goes back with {', '.join(history.oil())}, and nobody answers for it"


def fan_back(state: State) -> Told:
    """No engine runs, and no car leaves, without its fan."""
    if trade.RUNS not in state.hazards and not state.sets & {
        *trade.RUNS_TOO,
        *trade.LEAVES,
        *trade.DRIVES_OFF,
    }:
        return None
    return None if state.history.fan_is_back(state.now) else "runs an engine without its fan"


def on_stands(state: State) -> Told:
    """Under the car only while it is on the ground, or set, pushed and rocked on stands."""
    if trade.UNDER_CAR not in state.hazards and not state.sets & {*trade.UNDER_TOO}:
        return None

    def now(name: str) -> str | None:
        return state.history.holds(name, trade.MOVES_CAR, trade.STANDS_AGE, state.now)

    if now(trade.RAISED) == trade.ON_GROUND:
        return None
    if state.history.said(trade.KIT_STANDS) == trade.MISSING:
        return "sends a hand under a raised car, and there are no stands"
    lacking = [name for name in (trade.RAISED, *trade.STANDS) if now(name) is None]
    return f"sends a hand under a car without {', '.join(lacking)}" if lacking else None


def firm_ground(state: State) -> Told:
    """Away from the workshop work begins only on firm, level ground."""
    if not state.sets & set(trade.ON_SITE) or state.history.said(trade.SITE) == trade.FIRM:
        return None
    return f"begins where the ground is “{state.history.said(trade.SITE)}”"


def caps_known(state: State) -> Told:
    """Before a system is pumped up its lowest rating and the gauge's scale are known."""
    if state.offered is None or state.offered.shows == "verdict":
        return None
    wanted = {cap for name in state.sets for cap in trade.CAPS.get(name, ())}
    lacking = [name for name in sorted(wanted) if state.history.latest(name) is None]
    return f"pumps up without {', '.join(lacking)}" if lacking else None


def under_the_scale(state: State) -> Told:
    """No accepted reading of a pressure is past the end of the scale as typed before it."""
    job = state.node.job
    if not any(job.series.get(name) or job.value(name) is not None for name in trade.CAPS):
        return None
    span: float | None = None
    for line in state.history.lines:
        name, kind = line.raw["field"], line.raw["kind"]
        if kind not in ("fact", "reading"):
            continue
        if name == trade.SPAN:
            span = value(line)
        elif (
            name in (*trade.PRESSURES, trade.EASED)
            and span is not None
            and value(line) > span * (1.0 + 1e-8)
        ):
            return f"takes {line.raw['typed']} Pa past the scale"
    return None


def lets_off(state: State) -> Told:
    """A needle above its rating takes the page: letting off, then looking, and nothing else."""
    history = state.history
    if state.node.job.stopped is not None or state.here.step is None or history.hot():
        return None
    above = history.above()
    if not above:
        return None
    view = state.view()
    if view["step"] != "stop.above_rating":
        return f"shows “{view['step']}” while a needle is above its rating ({above})"
    asked = [block["event"]["field"] for block in view["blocks"] if block["block"] == "text"]
    main = view["foot"]["main"]
    asked += [] if main is None else [main["do"]["read"]["event"]["field"]]
    if asked != [trade.EASED if above == "on" else trade.LOOKED]:
        return f"asks {asked} ({above})"
    first = view["blocks"][1]["word"]
    return None if "Let off now" in first or above == "look" else f"says “{first}” first"


def ready_to_run(state: State) -> Told:
    """No engine runs with a part off, empty or oily."""
    if trade.RUNS not in state.hazards and not state.sets & {*trade.RUNS_TOO}:
        return None
    history = state.history
    if off := parts_off(history) - set(trade.MAY_BE_OFF):
        return f"runs an engine with {', '.join(sorted(off))} off"
    if history.empty():
        return "runs an engine without coolant"
    overridden = all(history.said(name) is not None for name in trade.OVERRIDE)
    if history.oil() and not overridden:
        return "runs an engine with oil in the coolant, and nobody answers for it"
    lacking = [name for name in trade.OILS if history.said(name) is None]
    if lacking and not overridden:
        return f"runs an engine with oil in the coolant not ruled out: {', '.join(lacking)}"
    return None


def no_liquid(state: State) -> Told:
    """No engine starts with liquid in a cylinder, unless somebody answers for it."""
    if trade.RUNS not in state.hazards and not state.sets & {*trade.RUNS_TOO}:
        return None
    history = state.history
    answered = all(history.said(name) is not None for name in trade.START_ANYWAY)
    if answered or not any(history.liquid()):
        return None
    return "starts an engine with liquid in a cylinder, and nobody answers for it"


def isolated(state: State) -> Told:
    """Only an engine or heater loop is opened or pumped up, or what a qualified person isolated."""
    too = {*trade.OPENS_TOO, *trade.OPEN_AT_IDLE, *trade.PRESSES}
    if trade.OPENS not in state.hazards and not state.sets & too:
        return None
    if state.offered is not None and state.offered.shows == "verdict":
        return None
    said, anew = state.history.said, state.history.said_anew
    if all(anew(name) is not None for name in trade.MADE_DEAD):
        return None
    none = said(trade.DRIVE) == trade.NO_HIGH_VOLTAGE and said(trade.TOLD_LIVE) != "yes"
    harmless = none or anew(trade.LOOP) == trade.HARMLESS_LOOP
    if harmless and anew(trade.LIVE_LOOP_LEAKS) != "yes":
        return None
    return f"opens a loop with drive “{said(trade.DRIVE)}”, loop “{anew(trade.LOOP)}”"


def open_air(state: State) -> Told:
    """No engine runs in a closed room: it was looked at lately, and the car stands there still."""
    if trade.RUNS not in state.hazards and not state.sets & {*trade.RUNS_TOO}:
        return None
    said = state.history.holds(trade.AIR, trade.AIR_UNKNOWN, trade.AIR_AGE, state.now)
    if said is None:
        return "runs an engine before the exhaust is answered"
    return "runs an engine in a closed room" if said == trade.CLOSED_ROOM else None


def fit_to_drive(state: State) -> Told:
    """No test and no road drives a car that is not closed, levelled and whole."""
    history = state.history
    kind = history.said_anew(trade.KIND, "test.again")
    test = state.sets & {*trade.DRIVES_OFF} or ("test.ran" in state.sets and kind == trade.DYE)
    if not test and trade.ROAD not in state.sets:
        return None
    if off := parts_off(history):
        return f"drives with {', '.join(sorted(off))} off"
    if test:
        lacking = [n for n in trade.CLOSED if history.said_anew(n, "test.again") is None]
        if history.said(trade.DECIDED) != "drive":
            lacking.append(trade.DECIDED)
        if history.said_anew(trade.IDLED, "test.again") == trade.DRIPS:
            return "drives though it drips as it idles"
    else:
        lacking = [trade.TRAY] if history.said_anew(trade.TRAY) is None else []
        for opened, closes in trade.CLOSES.items():
            if history.said_anew(opened) is not None:
                lacking += [name for name in closes if history.said_anew(name) is None]
    return f"drives without {', '.join(lacking)}" if lacking else None


def put_back(state: State) -> Told:
    """No engine runs and no car leaves with its neck not closed, brim-full, or something out."""
    leaves = state.sets & {*trade.LEAVES, *trade.DRIVES_OFF}
    runs = trade.RUNS in state.hazards or state.sets & {*trade.RUNS_TOO}
    if not (leaves or runs) or state.sets & {*trade.OPEN_AT_IDLE}:
        return None
    closed, level, *out = state.history.put_back()
    lacking = [
        name
        for name, back in zip(trade.OUT_AND_BACK, out, strict=True)
        if not back and (state.sets & {*trade.LEAVES} or name in trade.NOT_TO_RUN)
    ]
    kind = state.history.said_anew(trade.KIND, "test.again") if "test.ran" in state.sets else None
    if kind == trade.WARM_HOLD:
        said = state.history.said_anew
        lacking += [name for name in trade.RELIEF if said(name, "test.again") is None]
    elif kind != trade.GAS_TEST:
        lacking += [] if closed else ["neck"]
        lacking += [] if out[list(trade.OUT_AND_BACK).index("clamps")] else ["clamps"]
    if kind != trade.GAS_TEST and not level:
        lacking.append("level")
    return f"runs or leaves with {', '.join(lacking)} not put back" if lacking else None


def after_gross(state: State) -> Told:
    """No test drives a car that lost half of its pressure at once."""
    kind = state.history.said_anew(trade.KIND, "test.again")
    drives = state.sets & {*trade.DRIVES_OFF} or ("test.ran" in state.sets and kind == trade.DYE)
    return "drives after a gross hold" if drives and state.history.gross() else None


def stops_hot(state: State) -> Told:
    """Too hot takes the page: nothing else is offered, and what to do now is said first."""
    if state.node.job.stopped is not None or state.here.step is None or not state.history.hot():
        return None
    view = state.view()
    if view["step"] != "stop.too_hot" or "Stop the engine" not in view["blocks"][1]["word"]:
        return f"shows “{view['step']}” while the engine is too hot"
    asked = [block["event"]["field"] for block in view["blocks"] if block["block"] == "text"]
    if asked and not is_cold(state.history, state.now):
        return "goes on before it is cold"
    return None


def consented(state: State) -> Told:
    """Nothing comes off without consent, and nothing beyond the ceiling."""
    if not state.sets & set(trade.TAKES_OFF):
        return None
    said = state.history.said(trade.CONSENT)
    if said in (None, trade.REFUSED):
        return f"takes off with consent “{said}”"
    return "takes off above the ceiling" if state.history.over_the_ceiling() else None


def warned(state: State) -> Told:
    """A step that can hurt shows a caution of its hazard before the hand moves."""
    if not state.hazards or state.offered is None:
        return None
    shown = state.view()["foot"]["caution"]
    if shown is None or not any(
        trade.SAYS[id] in shown["text"] for id in state.hazards if id in trade.SAYS
    ):
        return f"shows no caution of {', '.join(sorted(state.hazards))}"
    undeclared = state.hazards - set(state.offered.hazards)
    return f"does not declare {', '.join(sorted(undeclared))}" if undeclared else None


def stop_offered(state: State) -> Told:
    """Every shut gate can be answered “stop, refer”."""
    gate = state.here.gate
    if gate is None or state.node.job.stopped is not None or state.node.job.broken is not None:
        return None
    keys = state.view()["foot"]["keys"]
    stops = [key for key in keys if key["do"].get("reason", {}).get("kind") == "stopped"]
    return None if stops else f"no “stop, refer” at {gate.id}"


def never_opened(state: State) -> Told:
    """Refrigerant and high voltage are looked at, never opened."""
    opened = [
        name
        for name in state.sets
        if trade.NEVER_OPENED.search(name) and state.rules.fields[name].kind == "part"
    ]
    if trade.NOT_OURS in state.hazards:
        opened += [n for n in state.sets if state.rules.fields[n].kind not in ("yes", "choice")]
        opened += ["a part"] if state.offered and state.offered.shows == "ledger_off" else []
    return f"asks to open {', '.join(opened)}" if opened else None


def begins_anew(state: State) -> Told:
    """A result offers to begin the same anew."""
    wanted = {trade.BEGINS[name] for name in state.sets if name in trade.BEGINS}
    if not wanted or state.offered is None or state.offered.id in trade.ONLY_LETS_OFF:
        return None
    foot = state.view()["foot"]
    keys = [*foot["keys"], *([foot["main"]] if foot["main"] else [])]
    offered = {key["do"].get("event", {}).get("field") for key in keys}
    return f"does not offer {', '.join(wanted - offered)}" if wanted - offered else None


def no_number_from_nothing(state: State) -> Told:
    """No verdict without readings; what was not measured has no number."""
    facts = state.node.job.facts.items()
    made = [n for n, fact in facts if fact.event.kind == "not_done" and fact.value is not None]
    if made:
        return f"makes a number of {', '.join(made)}, not measured"
    step = state.offered
    if step is None or step.shows != "verdict" or step.reads is None:
        return None
    series = state.node.job.present(step.reads)
    if series.readings:
        return None
    verdict = holds.assess(state.rules, state.node.job, series).verdict
    return f"says {verdict} without readings" if verdict in trade.FINDS_NO_LEAK else None


def closes_whole(state: State) -> Told:
    """A job is not closed while a part is off, or while it stands empty."""
    if state.here.step is not None:
        return None
    history = state.history
    if off := parts_off(history):
        return f"is closed with {', '.join(sorted(off))} off"
    if history.empty():
        return "is closed without coolant"
    return None


def filled_up(state: State) -> Told:
    """No joint that was opened is handed over, or run, without coolant put back after it."""
    runs = trade.RUNS in state.hazards or state.sets & {*trade.RUNS_TOO}
    if state.here.step is not None and not runs:
        return None
    lost = state.history.opened_since(trade.FILLED)
    return f"no coolant is put back after {', '.join(sorted(lost))}" if lost else None


def levelled(state: State) -> Told:
    """A car goes back with its level known, after the last joint that was opened."""
    if state.here.step is not None:
        return None
    history = state.history
    if history.said_anew(trade.LEVEL) is None:
        return "goes back with its level unknown"
    lost = history.opened_since(trade.LEVEL)
    return f"goes back with no look at the level after {', '.join(sorted(lost))}" if lost else None


def let_off(state: State) -> Told:
    """A job is not closed with pressure in the system."""
    if state.here.step is not None:
        return None
    history = state.history
    pressed = [
        fitted for released, fitted in trade.LET_OFF.items() if history.lacks(released, fitted)
    ]
    return f"is closed with pressure in it, {', '.join(pressed)}" if pressed else None


def nothing_lost(state: State) -> Told:
    """Events stored = accepted + refused + superseded + waiting."""
    job = state.node.job
    counted = Counter(job.seen.values())
    waits = len(job.waiting) + (job.broken is not None)
    told = counted["accepted"] + counted["refused"] + counted["superseded"] + waits
    return None if told == state.node.depth else f"{state.node.depth} stored, {told} accounted for"


ALL: Final[tuple[Callable[[State], Told], ...]] = (
    opens_cold, fan_off, key_away, touches_cool, oil_goes, fan_back,
    firm_ground, on_stands, caps_known, under_the_scale,
    lets_off, ready_to_run, stops_hot, after_gross, put_back, open_air, no_liquid, isolated,
    fit_to_drive, guarded.cold_for_vacuum, guarded.airbags_dead, guarded.timed,
    consented, warned, stop_offered, never_opened, begins_anew,
    no_number_from_nothing, closes_whole, filled_up, levelled, let_off,
    nothing_lost,
)  # fmt: skip
