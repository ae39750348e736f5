#!/bin/sh
# Everything that must pass before a change goes in. Needs bridgewire on the path.
# With TODAY=2026-12-01 it checks as if on that day.
set -eu
cd "$(dirname "$0")"
mkdir -p out
bridgewire kits validate kits/*.toml
bridgewire check shows --kit-dir kits --baseline baseline.toml --fail-on warning \
    --write text=out/check.txt --write sarif=out/check.sarif --write junit=out/check.xml \
    --write gitlab-code-quality=out/code-quality.json \
    ${GITHUB_ACTIONS:+--format github-annotations} ${TODAY:+--today "$TODAY"}
# What has been mended must come out of the baseline, or it could come back unseen.
bridgewire baseline prune shows --kit-dir kits --dry-run ${TODAY:+--today "$TODAY"}
