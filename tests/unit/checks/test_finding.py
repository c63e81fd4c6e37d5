from cladmodel.checks.finding import Finding, Verdict, conclude, verdict, worst_each


def finding(outcome, text=""):
    return Finding(check="lap", verdict=outcome, wall="front", text=text)


def test_the_worst_verdict_wins():
    ok, caution, fail, none = (
        finding(v) for v in (Verdict.OK, Verdict.CAUTION, Verdict.FAIL, Verdict.NOT_ASSESSED)
    )
    assert verdict([ok, fail, caution]) is Verdict.FAIL
    assert verdict([ok, caution, none]) is Verdict.CAUTION
    assert verdict([none, ok]) is Verdict.OK
    assert verdict([none]) is Verdict.NOT_ASSESSED
    assert verdict([]) is Verdict.NOT_ASSESSED


def test_a_fail_outweighs_a_larger_caution():
    kept = worst_each(
        [
            ("a", 9.0, finding(Verdict.CAUTION, "large caution")),
            ("a", 1.0, finding(Verdict.FAIL, "small fail")),
            ("b", 1.0, finding(Verdict.FAIL, "other")),
            ("a", 2.0, finding(Verdict.FAIL, "larger fail")),
        ]
    )
    assert [f.text for f in kept] == ["larger fail", "other"]


def test_conclude_says_sound_only_when_it_is():
    sound, bad = finding(Verdict.OK), finding(Verdict.FAIL)
    assert list(conclude([], sound)) == [sound]
    assert list(conclude([bad], sound)) == [bad]
