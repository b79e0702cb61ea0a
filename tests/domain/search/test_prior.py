"""The prior: rough, so only its order and its sums are held. Common practice, no source."""

from __future__ import annotations

import pytest

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.prior import address_weight, asked_as, usual_settings

NOTHING_PLANNED: frozenset[int] = frozenset()


@pytest.mark.parametrize(
    ("framing", "asked"), [("8N1", "8N2"), ("8N2", "8N2"), ("8E1", "8E1"), ("8O1", "8O1"), ("7E1", "7E1")]
)
def test_without_parity_two_stop_bits_are_sent_for_both(framing: str, asked: str) -> None:
    """A receiver tests the first stop bit only, so one request serves 8N1 and 8N2."""
    assert asked_as(SerialSettings.of(9600, framing)) == SerialSettings.of(9600, asked)


def test_the_likeliest_settings_come_first() -> None:
    order = [str(one) for one in usual_settings()]

    assert order[:3] == ["9600 8N2", "19200 8E1", "19200 8N2"]
    assert "9600 8E1" in order[:4]


def test_one_setting_for_each_speed_and_parity() -> None:
    """16 settings of the notes become 14: 8N1 and 8N2 of 9600 and of 19200 are one each."""
    usual = usual_settings()

    assert len(usual) == 14
    assert usual[SerialSettings.of(9600, "8N2")] == pytest.approx(0.45)
    assert sum(usual.values()) == pytest.approx(0.99)


def test_weights_of_all_addresses_sum_to_one() -> None:
    assert sum(address_weight(one, NOTHING_PLANNED) for one in range(1, 248)) == pytest.approx(1.0)
    assert sum(address_weight(one, frozenset({37, 38})) for one in range(1, 248)) == pytest.approx(1.0)


def test_address_one_is_likeliest_until_a_plan_says_otherwise() -> None:
    planned = frozenset({37})

    unplanned_order = sorted(range(1, 248), key=lambda one: -address_weight(one, NOTHING_PLANNED))
    planned_order = sorted(range(1, 248), key=lambda one: -address_weight(one, planned))

    assert unplanned_order[:3] == [1, 2, 3]
    assert planned_order[:2] == [37, 1]


def test_where_a_mistake_would_put_a_planned_device_comes_right_behind_the_plan() -> None:
    """164 is 37 read from the other end of eight levers; without a plan no mistake says anything."""
    planned, mistaken = frozenset({37}), ((164, 0.6), (218, 0.2))

    order = sorted(range(1, 248), key=lambda one: -address_weight(one, planned, mistaken))

    assert order[:2] == [37, 1]
    assert order[2:4] == [164, 2]
    assert order.index(218) < 8
    assert sum(address_weight(one, planned, mistaken) for one in range(1, 248)) == pytest.approx(1.0)
    assert address_weight(164, NOTHING_PLANNED, mistaken) == address_weight(164, NOTHING_PLANNED)
