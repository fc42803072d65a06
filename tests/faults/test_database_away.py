"""The database server is away for a while: what is in memory still answers, saving is refused, and all comes back.

GRAMWRIGHT_AWAY_SECONDS says for how long, 3 by default.
"""

from __future__ import annotations

import os
import time

import httpx
import pytest

from tests.processes import one_by_one, within

SECONDS = float(os.environ.get("GRAMWRIGHT_AWAY_SECONDS", "3"))
PLATE = "Plate\n\nServes 2\n150 g kelp\n10 g butter\n"
OF_RECIPE = ("/v1/recipes/recipe:1/nutrition", "/v1/recipes/recipe:1/card", "/v1/recipes/recipe:1/panel")
TEXT = {"Content-Type": "text/plain"}


@pytest.mark.parametrize("store_url", ["postgresql"], indirect=True)
def test_reads_go_on_and_writes_are_refused_until_it_is_back(server, cluster):
    with httpx.Client(base_url=f"http://127.0.0.1:{server.port}", timeout=20) as client:
        client.headers["Connection"] = "close"
        for _ in one_by_one(server.workers_now()):  # each has met the kitchen
            assert client.post("/v1/resolutions", json={"lines": ["150 g kelp"]}).status_code == 200
        assert client.post("/v1/recipes", content=PLATE, headers=TEXT).status_code == 201
        for _ in one_by_one(server.workers_now()):
            client.post("/v1/resolutions", json={"lines": ["150 g kelp"]})
            for of_recipe in OF_RECIPE:
                assert client.get(of_recipe).status_code == 200
        cluster.stop("immediate")
        ends = time.monotonic() + SECONDS
        try:
            while time.monotonic() < ends:
                asked = time.monotonic()
                read = client.post("/v1/resolutions", json={"lines": ["150 g kelp"]})
                assert read.status_code == 200, read.text
                assert read.json()["lines"][0]["parts"][0]["food"]["id"] == "harbour:1"
                assert read.headers["Kitchen-Change"] == "1", "the worker that did not save has taken it up too"
                for of_recipe in OF_RECIPE:
                    assert (met := client.get(of_recipe)).status_code == 200, met.text
                unmet = client.get("/v1/recipes")
                assert unmet.status_code == 503
                assert "Kitchen-Change" not in unmet.headers
                refused = client.post("/v1/recipes", content=PLATE, headers=TEXT)
                assert (refused.status_code, refused.headers["content-type"]) == (503, "application/problem+json")
                assert int(refused.headers["Retry-After"]) > 0
                assert "does not answer" in refused.json()["detail"]
                assert client.get("/healthz").status_code == 200
                assert client.get("/readyz").status_code == 503
                assert time.monotonic() - asked < 10
        finally:
            cluster.start()
        assert within(10, lambda: client.post("/v1/recipes", content=PLATE, headers=TEXT).status_code == 201)
        assert within(5, lambda: client.get("/readyz").status_code == 200)
