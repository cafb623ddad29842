# Pinned by digest: ./run images, then docker compose --env-file containers/images.env build
ARG PYTHON_IMAGE
FROM ${PYTHON_IMAGE}
WORKDIR /service
COPY requirements/serve.txt requirements/serve.txt
RUN pip install --no-cache-dir --require-hashes -r requirements/serve.txt
COPY planner planner
COPY worker worker
COPY api api
COPY containers/begin containers/begin
RUN useradd --create-home --uid 10001 planner && mkdir /data && chown planner /data
# Compiled once, here, for any processor of this kind: what a machine compiles for itself is a few per cent faster, and
# would be compiled anew at every start.
ENV PYTHONUNBUFFERED=1 NUMBA_CPU_NAME=generic NUMBA_CACHE_DIR=/service/compiled
RUN python -m worker.compiled_in_two && chmod -R a+rX /service/compiled
ENV NUMBA_CACHE_DIR=/tmp/compiled PYTHONDONTWRITEBYTECODE=1
USER planner
ENTRYPOINT ["containers/begin"]
CMD ["python", "-m", "api", "serve"]
