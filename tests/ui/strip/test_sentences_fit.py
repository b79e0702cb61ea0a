"""No sentence of the strip is cut: each is measured in the face of the window, at every text size, in both panels."""

from __future__ import annotations

import pytest
from PySide6.QtGui import QFontMetrics
from PySide6.QtWidgets import QApplication

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.adu import build_adu
from buswalk.domain.modbus.outcome import (
    BroadcastSent,
    CorruptReply,
    DamagedEcho,
    EchoOnly,
    ForeignReply,
    NotSent,
    NotSentReason,
    Outcome,
    ShortReply,
    Stopped,
    UnexpectedReply,
)
from buswalk.domain.modbus.request import WrongReplyReason
from buswalk.domain.preferences import TextSize
from buswalk.ui.look import Look
from buswalk.ui.outcome_kinds import kind_of
from buswalk.ui.pages.page import Narrow
from buswalk.ui.sizes import CAPTION_TEXT, TEXT, VALUE_TEXT
from buswalk.ui.strip.answer_history import AskedAnswered
from buswalk.ui.strip.slots import Sentence, StripState
from buswalk.ui.strip.view import SentenceWidget
from buswalk.ui.strip.words import (
    LINE_QUIET,
    back_sentence,
    doubtful_sentence,
    exchange_sentence,
    foreign_frame,
    late_sentence,
    lost_sentence,
    stray_beside,
    stray_between,
)
from tests.fakes.exchanges import ExchangeMaker

LONGEST = SerialSettings.of(115200, "8N1")
FOREIGN = build_adu(247, bytes([0x17, 0, 0, 0, 1]))
HISTORY = AskedAnswered(600, 599)


def every_sentence() -> list[Sentence]:
    """Return each sentence with the longest values it can have on a usual line."""
    maker = ExchangeMaker(settings=LONGEST)
    outcomes: list[Outcome] = [
        CorruptReply(b"\x00" * 255, 255),
        ShortReply(b"\x00" * 254, 255),
        ForeignReply(FOREIGN, 247),
        UnexpectedReply(FOREIGN, WrongReplyReason.OTHER_FUNCTION, ""),
        EchoOnly(1.5),
        DamagedEcho(b"\x00"),
        NotSent(NotSentReason.LINE_NOT_QUIET, ""),
        BroadcastSent(),
        Stopped(b""),
    ]
    exchanges = [maker.made(247, one) for one in outcomes]
    exchanges += [maker.answered(247, 1.5), maker.answered(247, -0.009), maker.silent(247, 1.5)]
    exchanges += [maker.refused(247, code) for code in (1, 2, 3, 4, 5, 6, 7, 8, 10, 11, 200)]
    said = [exchange_sentence(one, kind_of(one.outcome, is_expected=True), HISTORY) for one in exchanges]
    silent = maker.silent(247, 1.5)
    said.append(exchange_sentence(silent, kind_of(silent.outcome, is_expected=False), HISTORY))
    said += [stray_beside(silent, b"\xff" * 9, is_before=side) for side in (True, False)]
    said += [stray_between(b"\xff" * 9999), foreign_frame(FOREIGN), late_sentence(247, 1.5), late_sentence(247, None)]
    said += [doubtful_sentence(247), LINE_QUIET, back_sentence("1:02:03")]
    wall_time = "2024-03-05T09:41:00+01:00"
    said += [lost_sentence(one, wall_time, 0.0) for one in tuple(said)]
    return said


@pytest.mark.parametrize("narrow", list(Narrow))
@pytest.mark.parametrize("text_size", list(TextSize))
def test_every_sentence_fits_its_panel(qapp: QApplication, narrow: Narrow, text_size: TextSize) -> None:
    look = Look(text_size=text_size)
    headline_face = QFontMetrics(look.bold(TEXT if narrow is Narrow.YES else VALUE_TEXT))
    words_face = QFontMetrics(look.regular(CAPTION_TEXT))
    panel = SentenceWidget(look, narrow)

    cut = []
    for one in every_sentence():
        panel.show_state(StripState(items=(), sentence=one, spoken=""))
        headline, words = (one.narrow_headline, one.narrow_words) if narrow is Narrow.YES else (one.headline, one.words)
        cut += [headline] if headline_face.horizontalAdvance(headline) > panel.room() else []
        cut += [words] if words_face.horizontalAdvance(words) > panel.room() else []

    assert cut == []
