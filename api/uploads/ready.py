"""What reading a table puts together once, put together when this is imported: by the server that forks, so that no
file's process does it again. The names of countries in all languages take a fifth of a second."""

from planner.dispatch.countries import country_code

country_code("Germany")
