"""FairTurns: fair shares for every caller, a bounded queue, an honest time to wait."""

import asyncio

import pytest
from seatmesh_service.problems import ProblemError
from seatmesh_service.workers.turns import FairTurns


def played(turns, scene):
    """Let callers ask in an order; return who had a turn, in the order in which turns were given.

    A turn ends when everybody who can has begun.
    """
    had = []

    async def one(caller):
        async with turns.turn(caller):
            had.append(caller)
            for _ in range(3):
                await asyncio.sleep(0)

    async def run():
        await asyncio.gather(*(one(caller) for caller in scene))

    asyncio.run(run())
    return "".join(had)


def test_whoever_has_least_under_way_is_next_and_then_who_waited_longest():
    assert played(FairTurns(1, 99, 99), "aaab") == "aaab"
    # Two of a's are under way; as one ends, b has none under way and comes before a's third.
    assert played(FairTurns(2, 99, 99), "aaaabb")[:3] == "aab"


def test_one_caller_leaves_a_slot_free_for_others():
    seen = []

    async def run():
        turns = FairTurns(3, 99, 99, keep_free=1)

        async def long(caller):
            async with turns.turn(caller):
                seen.append((caller, turns.running))
                await asyncio.sleep(0.05)

        await long("other")
        heavy = [asyncio.create_task(long("heavy")) for _ in range(6)]
        await asyncio.sleep(0.01)
        assert turns.running == 2
        await long("other")
        await asyncio.gather(*heavy)

    asyncio.run(run())
    assert ("other", 3) in seen
    assert len(seen) == 8


def test_who_is_alone_has_all_slots():
    assert slots_of_one_caller(lambda _turns: None) == 3
    assert slots_of_one_caller(lambda turns: turns._note("other")) == 2


def slots_of_one_caller(before):
    """Return how many slots a caller gets after something has happened."""

    async def run():
        turns = FairTurns(3, 99, 99, keep_free=1)
        before(turns)

        async def hold():
            async with turns.turn("one"):
                await asyncio.sleep(60)

        tasks = [asyncio.create_task(hold()) for _ in range(5)]
        await asyncio.sleep(0.01)
        running = turns.running
        for one in tasks:
            one.cancel()
        return running

    return asyncio.run(run())


def test_a_slot_that_is_kept_free_does_not_make_the_queue_endless():
    async def run():
        turns = FairTurns(2, 99, 4, keep_free=1)
        turns._note("other")

        async def hold():
            turns.refuse_if_full("heavy")
            async with turns.turn("heavy"):
                await asyncio.sleep(60)

        tasks = []
        for _ in range(20):
            tasks.append(asyncio.create_task(hold()))
            await asyncio.sleep(0)
        counts = turns.running, turns.waiting
        turns.refuse_if_full("other")
        for one in tasks:
            one.cancel()
        await asyncio.gather(*tasks, return_exceptions=True)
        return counts

    assert asyncio.run(run()) == (1, 4)


def test_a_slot_is_kept_free_no_longer_than_others_ask(monkeypatch):
    monkeypatch.setattr("seatmesh_service.workers.turns.LATELY_S", 0.1)

    async def run():
        turns = FairTurns(2, 99, 99, keep_free=1)
        turns._note("other")

        async def hold():
            async with turns.turn("heavy"):
                await asyncio.sleep(60)

        tasks = [asyncio.create_task(hold()) for _ in range(2)]
        await asyncio.sleep(0.01)
        before = turns.running
        # Nobody asks and nothing ends in between.
        await asyncio.sleep(0.3)
        after = turns.running
        for one in tasks:
            one.cancel()
        await asyncio.gather(*tasks, return_exceptions=True)
        return before, after

    assert asyncio.run(run()) == (1, 2)


def test_a_single_slot_is_not_kept_free():
    assert played(FairTurns(1, 99, 99, keep_free=1), "aa") == "aa"


def test_what_is_cancelled_gives_its_turn_back():
    async def run():
        turns = FairTurns(1, 99, 99)

        async def wait():
            async with turns.turn("a"):
                await asyncio.sleep(60)

        first, second = asyncio.create_task(wait()), asyncio.create_task(wait())
        await asyncio.sleep(0)
        second.cancel()
        await asyncio.sleep(0)
        assert (turns.running, turns.waiting) == (1, 0)
        first.cancel()
        await asyncio.sleep(0.01)
        assert (turns.running, turns.waiting) == (0, 0)
        # One that is cancelled in the moment it is called.
        third = asyncio.create_task(wait())
        await asyncio.sleep(0)
        third.cancel()
        await asyncio.sleep(0.01)
        assert (turns.running, turns.waiting) == (0, 0)

    asyncio.run(run())


def test_refusals_say_how_long_it_takes():
    async def run():
        turns = FairTurns(2, 3, 2)
        turns._usual_s = 10.0
        doing = [asyncio.create_task(hold(turns, caller)) for caller in "abaab"]
        await asyncio.sleep(0)
        assert (turns.running, turns.waiting) == (2, 3)
        with pytest.raises(ProblemError) as full:
            turns.refuse_if_full("c")
        doing.pop().cancel()
        await asyncio.sleep(0)
        with pytest.raises(ProblemError) as own:
            turns.refuse_if_full("a")
        turns.refuse_if_full("b")
        for one in doing:
            one.cancel()
        return full.value, own.value

    async def hold(turns, caller):
        async with turns.turn(caller):
            await asyncio.sleep(60)

    full, own = asyncio.run(run())
    # Five pieces of ten seconds on two workers; then four.
    assert (full.status, full.headers["Retry-After"]) == (503, "25")
    assert (own.status, own.headers["Retry-After"]) == (429, "20")


def test_long_work_leaves_its_slot_to_others_but_not_to_its_own_caller(monkeypatch):
    monkeypatch.setattr("seatmesh_service.workers.turns.LONG_S", 0.05)
    began = []

    async def run():
        turns = FairTurns(1, 99, 99, most_aside=1)

        async def hold(caller, seconds):
            async with turns.turn(caller):
                began.append(caller)
                await asyncio.sleep(seconds)

        tasks = [
            asyncio.create_task(hold(*one)) for one in (("heavy", 0.6), ("heavy", 0.01), ("other", 0.01))
        ]
        await asyncio.sleep(0.3)
        # The first goes on; the other had its slot; the heavy one's next piece waits for its own.
        assert began == ["heavy", "other"]
        assert (turns.running, turns.waiting) == (1, 1)
        await asyncio.gather(*tasks)
        assert (turns.running, turns.waiting, turns._aside) == (0, 0, 0)

    asyncio.run(run())
    assert began == ["heavy", "other", "heavy"]
