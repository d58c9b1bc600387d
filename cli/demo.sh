#!/usr/bin/env bash
# Installs what is missing, builds, and shows the whole job with no hardware: the coach of a volunteer
# mountain-rescue team and eight invented weeks of three clients. One more set of the medic is recorded
# live from five virtual straps and reviewed rep by rep; then the weeks are compared, and the medic
# has earned a step, the winch operator holds because a change cannot be told yet, and the stretcher
# lead is stopped by logged pain. Each gets a letter.
#   cli/demo.sh [FOLDER]     where everything goes (default: demo_out in the project)
set -euo pipefail
cd "$(dirname "$0")/.."
out=${1:-$PWD/demo_out}
scripts=$PWD/cli/scripts

# shellcheck source=cli/scripts/voice.sh
. cli/scripts/voice.sh

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

export STRAPLINE_CLIENTS=$out/clients
STRAPLINE=$strapline bash "$scripts/eight_weeks.sh"
run logbook clients/medic/logbook.h5

legs=left_thigh,left_shank,right_thigh,right_shank,chest
leg_kit="five straps on thighs, shanks and chest"

say "One more set of the medic, live: five virtual straps stream over pseudo-terminals"
"$strapline" synth -o to_play.h5 --client medic --placements "$legs" --reps 10 --depth 4 \
  --seed 109 --height 1.68 --truth to_play_truth.json >/dev/null
# A coach marks the parts by pressing Enter; here they are known from what is about to be played.
parts=$(grep -oE '"(align|set|still|still_after)":\[[0-9.]+,[0-9.]+\]' to_play_truth.json |
  sed -E 's/"(.*)":\[(.*),(.*)\]/--\1 \2:\3/; s/still_after/still-after/' | tr '\n' ' ')
speed=4
"$strapline" replay to_play.h5 --pty "$out/straps" --speed "$speed" >replay.log 2>&1 &
replay=$!
trap 'kill "$replay" 2>/dev/null || true' EXIT
for _ in $(seq 50); do
  [ -e straps/chest ] && break
  sleep 0.1
done
worn=()
for strap in ${legs//,/ }; do worn+=(--strap "$strap=$out/straps/$strap"); done
# shellcheck disable=SC2086
run record --client medic --kit "$leg_kit" --load 0 --rir 3 "${worn[@]}" \
  $parts --speed "$speed" -o medic_today.h5
wait "$replay" || true
# What nobody could know before the set is noted after it.
run note medic_today.h5 --pain 0

say "Reviewed rep by rep, against the medic's aim"
run check medic_today.h5
run review medic_today.h5

say "Compared with the weeks before (8 degrees more or less matter to this coach)"
depth_and_tempo=(--matters thigh_depth=8 --measure thigh_depth --measure range --measure lowering_s)
run compare clients/medic/logbook.h5 "${depth_and_tempo[@]}" --page medic_compare.html
run compare clients/winch-operator/logbook.h5 "${depth_and_tempo[@]}" --page winch_operator_compare.html

say "What each is accustomed to, and what comes next"
run plan "winch operator" --movement squat --load 40 --range 100
run next medic
run next "winch operator"
run next "stretcher lead"
run roster

say "A letter for each, for the coach to edit"
for client in medic "winch operator" "stretcher lead"; do
  run letter "$client"
  "$strapline" letter "$client" --evidence --format html -o "${client// /_}_letter.html" >/dev/null
done

say "Pages to open in a browser"
for page in medic_today.html medic_compare.html winch_operator_compare.html *_letter.html; do
  echo "  $out/$page"
done
