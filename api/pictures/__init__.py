"""Pictures of a run plan as SVG: templates filled from the plan document, nothing drawn that it does not say."""
