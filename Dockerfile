FROM python:3.11-slim
WORKDIR /service
COPY requirements/serve.txt requirements/serve.txt
RUN pip install --no-cache-dir --require-hashes -r requirements/serve.txt
COPY planner planner
COPY worker worker
COPY api api
# Numba keeps what it compiled beside the modules; Python too.
RUN useradd --create-home planner && mkdir /data && chown -R planner /data /service
USER planner
ENV PYTHONUNBUFFERED=1
CMD ["python", "-m", "api", "serve"]
