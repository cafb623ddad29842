"""The OpenAPI document shows the demo as the example of a campaign, and it is one."""

from planner.reading import read


def test_the_example_of_a_campaign_is_the_demo_and_passes_every_cross_check(app):
    """Shortened to a few order lines; read() raises with every problem it has."""
    document = app.client.get("/v1/openapi.json").json()
    example = document["paths"]["/v1/plans"]["post"]["requestBody"]["content"]["application/json"]["example"]
    campaign = read(example)
    assert campaign.name.startswith("Self-watering herb planter")
    assert 10 <= len(campaign.orders) <= 40
    assert set(campaign.tiers) >= {line.tier for line in campaign.orders}
