"""So many webhooks a workshop may have, and no more."""

from api.services import webhooks


def test_the_last_one_is_added_and_one_more_is_refused(app, monkeypatch):
    """One that is deleted makes room again."""
    monkeypatch.setattr(webhooks, "MOST", 2)
    asked = [app.client.post("/v1/webhooks", json={"url": f"https://192.31.196.1/{n}"}) for n in range(3)]
    assert [answer.status_code for answer in asked] == [201, 201, 409]
    assert "at most 2 webhooks; delete one" in asked[2].text
    assert len(app.client.get("/v1/webhooks").json()["webhooks"]) == 2
    assert app.client.delete(f"/v1/webhooks/{asked[0].json()['id']}").status_code == 204
    assert app.client.post("/v1/webhooks", json={"url": "https://192.31.196.1/3"}).status_code == 201
