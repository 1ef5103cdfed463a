# Never built in our own tests: there is no engine there. tests/app/test_package.py reads it.
FROM python:3.13.7-slim-bookworm
COPY pyproject.toml README.md /src/
COPY server /src/server
COPY web /src/web
COPY procedures /src/procedures
COPY demo_data /src/demo_data
RUN pip install --no-cache-dir "/src[postgresql]" && useradd --create-home shaftside && mkdir /data && chown shaftside /data
USER shaftside
ENV SHAFTSIDE_DATA=/data SHAFTSIDE_HOST=0.0.0.0
VOLUME /data
EXPOSE 8420 8421
CMD ["shaftside", "serve", "--https"]
