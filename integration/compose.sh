#!/bin/bash
# Brings up potlife and its database as containers and asks the page to answer.
# Takes minutes on the first run (images are built), so it is no part of `make test`.
set -euo pipefail
cd "$(dirname "$0")/.."
export DOCKER_BUILDKIT=${DOCKER_BUILDKIT:-0} COMPOSE_PROJECT_NAME=potlife-check POTLIFE_PORT=${POTLIFE_PORT:-18080}
for tag in postgres:15-bookworm golang:1.26-bookworm; do
	docker image inspect "$tag" >/dev/null 2>&1 || docker pull -q "$tag" 2>/dev/null ||
		{ [ -x ../shared/docker/build.sh ] && ../shared/docker/build.sh "${tag%%:*}"; }
done
compose=$(command -v docker-compose || echo "docker compose")
down() { $compose down -v --remove-orphans >/dev/null 2>&1 || true; }
trap down EXIT
$compose up --build -d
for i in $(seq 1 60); do
	if body=$(curl -fsS "http://127.0.0.1:$POTLIFE_PORT/readyz" 2>/dev/null); then
		echo "ready after $i tries: $body"
		curl -fsS -o /dev/null -w 'sign-in page: %{http_code}\n' -L "http://127.0.0.1:$POTLIFE_PORT/"
		exit 0
	fi
	sleep 1
done
$compose logs --tail 50 >&2
echo "no answer on port $POTLIFE_PORT" >&2
exit 1
