#!/usr/bin/env bash
# Installs what is missing, builds, and shows the whole job with no hardware: the coach of a volunteer
# mountain-rescue team, eight weeks of invented squats of two clients, one more set recorded live from
# four virtual straps, reviewed rep by rep and compared with the weeks before.
#   cli/demo.sh [FOLDER]     where everything goes (default: demo_out in the project)
set -euo pipefail
cd "$(dirname "$0")/.."
out=${1:-$PWD/demo_out}

say() { printf '\n== %s\n' "$*"; }
run() { printf '$ strapline %s\n' "$*"; "$strapline" "$@"; }

bash cli/scripts/install_packages.sh build
say "Building (a few minutes the first time; later only what changed)"
mkdir -p build
if ! { cmake --preset release && cmake --build --preset release --target strapline; } >build/demo_build.log 2>&1; then
  tail -40 build/demo_build.log >&2
  exit 1
fi
strapline=$PWD/build/release/cli/strapline

rm -rf "$out"
mkdir -p "$out"
cd "$out"

four_straps=left_thigh,left_shank,right_thigh,right_shank
kit="four straps on thighs and shanks"

# One invented set: client, week, depth in degrees (0: thigh horizontal), load in kg, effort, seed.
invent() {
  local client=$1 week=$2 depth=$3 load=$4 rpe=$5 seed=$6 height=$7 day file
  day=$(date -u -d "$(((9 - week) * 7)) days ago" +%Y-%m-%dT17:30:00Z)
  file="${client// /_}_week_$week.h5"
  "$strapline" synth -o "$file" --client "$client" --placements "$four_straps" --kit "$kit" \
    --date "$day" --reps 5 --depth "$depth" --load "$load" --rpe "$rpe" --seed "$seed" \
    --height "$height" >/dev/null
  "$strapline" review "$file" --no-page --logbook "${client// /_}_logbook.h5" >/dev/null
}

say "Eight weeks of invented sets go into two logbooks"
# The medic gains depth with the same load; the winch operator squats as before.
medic_depth=(-22 -20 -18 -14 -12 -9 -6 -4)
for week in 1 2 3 4 5 6 7 8; do
  invent medic "$week" "${medic_depth[week - 1]}" 20 7 $((100 + week)) 1.68
  invent "winch operator" "$week" -8 30 7 $((200 + week)) 1.83
done
run logbook medic_logbook.h5

say "One more set of the medic, live: four virtual straps stream over pseudo-terminals"
"$strapline" synth -o to_play.h5 --client medic --placements "$four_straps" --reps 5 --depth 0 \
  --seed 109 --height 1.68 --truth to_play_truth.json >/dev/null
# A coach marks the parts by pressing Enter; here they are known from what is about to be played.
parts=$(grep -oE '"(align|set|still|still_after)":\[[0-9.]+,[0-9.]+\]' to_play_truth.json |
  sed -E 's/"(.*)":\[(.*),(.*)\]/--\1 \2:\3/; s/still_after/still-after/' | tr '\n' ' ')
speed=4
"$strapline" replay to_play.h5 --pty "$out/straps" --speed "$speed" >replay.log 2>&1 &
replay=$!
trap 'kill "$replay" 2>/dev/null || true' EXIT
for _ in $(seq 50); do
  [ -e straps/right_shank ] && break
  sleep 0.1
done
# shellcheck disable=SC2086
run record --client medic --kit "$kit" --load 20 --rpe 7 --height 1.68 \
  --strap left_thigh="$out/straps/left_thigh" --strap left_shank="$out/straps/left_shank" \
  --strap right_thigh="$out/straps/right_thigh" --strap right_shank="$out/straps/right_shank" \
  $parts --speed "$speed" -o medic_today.h5 --logbook medic_logbook.h5
wait "$replay" || true

say "Reviewed rep by rep"
run check medic_today.h5
run review medic_today.h5

say "Compared with the weeks before (8 degrees more or less matter to this coach)"
depth_and_tempo=(--matters thigh_depth=8 --measure thigh_depth --measure range --measure lowering_s)
run compare medic_logbook.h5 "${depth_and_tempo[@]}" --page medic_compare.html
run compare winch_operator_logbook.h5 "${depth_and_tempo[@]}" --page winch_operator_compare.html

say "Pages to open in a browser"
for page in medic_today.html medic_compare.html winch_operator_compare.html; do
  echo "  $out/$page"
done
