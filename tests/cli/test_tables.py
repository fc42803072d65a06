"""gramwright food and gramwright dataset."""

from __future__ import annotations


def test_search_lists_the_likeliest_first(run):
    ran = run("food", "search", "smoked", "haddock", "--limit", "3")
    assert ran.code == 0
    rows = [line for line in ran.out.splitlines() if "sr28:" in line]
    assert len(rows) == 3
    assert "Fish, haddock, smoked" in rows[0]


def test_search_looks_in_the_datasets_asked_for(run_process):
    found = run_process("food", "search", "erythritol", "--datasets", "pantry")
    assert (found.returncode, "pantry:erythritol" in found.stdout.decode()) == (0, True)
    assert run_process("food", "search", "erythritol", "--datasets", "sr28").returncode == 1


def test_search_without_a_find_says_so(run):
    for words in ("glimmerstones", "9100000000003"):
        ran = run("food", "search", words)
        assert ran.code == 1
        assert f"no food entry was found for '{words}'" in ran.err


def test_show_has_composition_with_origin_and_measures(run):
    # SR28 09038, avocado: 136 g a fruit, refuse 33 %, protein 1.96 g of 30 samples, standard error 0.158.
    out = run("food", "show", "sr28:09038").out
    for words in ("Avocados, raw, California", "without skin and seed", "136", "33 %", "Net carbohydrate: 1.84 g"):
        assert words in out
    protein = next(line.split() for line in out.splitlines() if line.startswith(" PROCNT"))
    assert protein[1:6] == ["Protein", "1.96", "g", "30", "0.158"]
    assert "Analytical" in out


def test_list_of_datasets(run):
    out = run("dataset", "list").out
    for words in ("sr28", "28", "8,789", "150", "679,045", "15,438", "ublic domain", "pantry", "Pantry substances"):
        assert words in out


def test_show_of_a_substance_names_what_set_its_figures(run):
    # Regulation (EU) 1169/2011 Annex XIV: erythritol 0 kcal/g; the US factor is 0 too.
    out = " ".join(run("food", "show", "pantry:erythritol").out.split())
    for words in ("Pantry substances, release 1", "Set by law", "1169/2011", "at least 99 % pure"):
        assert words in out
