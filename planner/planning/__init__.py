"""From a campaign to its run plan in one call, with the auditor's verdict in it."""
