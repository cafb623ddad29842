"""What the service does for a workshop, one module a subject: plain functions that open their own transactions.

They take the service, whose workshop it is and what is wanted, and give rows or documents; what cannot be is raised as
a refusal (`api.service.refusals`). They know neither requests nor responses: routes and pages format what they give.
"""
