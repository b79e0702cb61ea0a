"""What can be pressed on Search: the main action and the others, by how the search and the line stand. No Qt."""

from __future__ import annotations

from buswalk.domain.search.events import SearchPlan
from buswalk.ui.pages.find.search_board import SEARCH, SearchBoard
from buswalk.ui.pages.find.search_run import Phase, adds_to
from buswalk.ui.pages.find.search_state import Act, Action
from buswalk.ui.pages.job_desk import JobDesk

LISTEN = "listen"


def search_actions(desk: JobDesk, board: SearchBoard, chosen: SearchPlan) -> tuple[Action, tuple[Action, ...]]:
    """Return the main action and the others; `chosen` is what the user wants to be asked now."""
    export = (Action(Act.EXPORT, "Export", "Ctrl+E"),) if board.run.found or board.run.unclear else ()
    main = _main(desk, board, chosen)
    match main.act:
        case Act.CONTINUE:
            anew = "Search anew" if board.run.phase is not Phase.DONE else "Search all again"
            return main, (*export, Action(Act.SEARCH_ANEW, anew))
        case Act.SEARCH if board.run.phase is Phase.READY and not desk.running:
            return main, (Action(Act.LISTEN, "Listen only"),)
        case _:
            return main, export


def _main(desk: JobDesk, board: SearchBoard, chosen: SearchPlan) -> Action:
    phase = board.run.phase
    if desk.is_about_to_start:
        return Action(Act.PAUSE, "Search", "F5", refusal="The running job is being stopped first.")
    if desk.running == SEARCH:
        return Action(Act.PAUSE, "Pause", "F5")
    if desk.port_gone is not None:
        return Action(Act.SEARCH, "Search", refusal="There is no port: see the band above.")
    if not desk.has_port:
        return Action(Act.CHOOSE_PORT, "Open a port…", "F5")
    if phase is Phase.HELD:
        is_listening = desk.running == LISTEN
        return Action(Act.STOP, "Stop listening", "F5") if is_listening else Action(Act.LISTEN_ON, "Listen on", "F5")
    if desk.running == LISTEN:
        return Action(Act.STOP, "Stop listening", "F5")
    instead = f"Stop the {desk.running}, " if desk.running else ""
    act, words = _begins(board, chosen)
    return Action(act, f"{instead}{words.lower()}" if instead else words, "F5")


def _begins(board: SearchBoard, chosen: SearchPlan) -> tuple[Act, str]:
    """Return how it begins or goes on; after its end with what was added to it, or all of it again."""
    old = board.run.plan
    match board.run.phase:
        case Phase.PAUSED | Phase.BROKEN:
            return Act.CONTINUE, "Continue"
        case Phase.READY:
            return Act.SEARCH, "Search"
        case Phase.DONE if old is not None and adds_to(old, chosen):
            return Act.CONTINUE, "Search what is added"
        case _:
            return Act.SEARCH, "Search again"
