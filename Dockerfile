FROM python:3.11-slim
COPY . /src
RUN pip install --no-cache-dir /src && useradd --create-home shaftside && mkdir /data && chown shaftside /data
USER shaftside
ENV SHAFTSIDE_DATA=/data SHAFTSIDE_HOST=0.0.0.0
EXPOSE 8420
CMD ["shaftside", "serve", "--https"]
