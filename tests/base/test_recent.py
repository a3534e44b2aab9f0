"""Only so many answers are kept, and those asked for last."""

from longhold.base.recent import Recent


def test_what_was_not_asked_for_longest_is_made_anew():
    made = []
    kept = Recent(2)

    def ask(key):
        return kept.get(key, lambda: made.append(key) or key)

    for key in ("a", "b", "a", "c", "a", "b"):
        assert ask(key) == key
    assert made == ["a", "b", "c", "b"]
