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

export STRAPLINE_CLIENTS=$out/clients
legs=left_thigh,left_shank,right_thigh,right_shank,chest
arms=left_upper_arm,right_upper_arm,left_forearm,right_forearm,chest,left_thigh
leg_kit="five straps on thighs, shanks and chest"
arm_kit="six straps on arms, chest and one thigh"

say "Three clients, each with an aim and a step of a ladder"
run client add medic --height 1.68 --mass 62 --kit "$leg_kit" --ladder squat=parallel
run client add "winch operator" --height 1.83 --mass 84 --kit "$leg_kit" --ladder squat=parallel_loaded
run client add "stretcher lead" --height 1.76 --mass 78 --kit "$arm_kit" --ladder push_up=floor
# The coach's own edges for these two: on a slope with a rucksack a hand's breadth more or less is fine.
for client in medic winch-operator; do
  mkdir -p "clients/$client/aims"
  "$strapline" aim show squat_parallel --toml |
    sed '0,/at_least = -5/s//at_least = -8/; 0,/at_most = 10/s//at_most = 15/' \
      >"clients/$client/aims/squat_parallel.toml"
done
run aim use squat_parallel --client medic
run aim use squat_parallel --client "winch operator"
run aim use push_up_half_flared --client "stretcher lead"

# One invented set into the client's logbook: client, week (1 to 8), day of the week (0, 3), options.
invent() {
  local client=$1 week=$2 day=$3 file date
  shift 3
  date=$(date -u -d "$(((9 - week) * 7 - day)) days ago" +%Y-%m-%dT17:30:00Z)
  file="${client// /_}_week_${week}_day_$day.h5"
  "$strapline" synth -o "$file" --client "$client" --date "$date" "$@" >/dev/null
  "$strapline" review "$file" --no-page --client "$client" >/dev/null
}
squat=(--movement squat --placements "$legs" --kit "$leg_kit")
push_up=(--movement push_up --variation 30-45 --placements "$arms" --kit "$arm_kit")

say "Eight weeks of invented sets go into their logbooks"
# The medic, twice a week: more reps, and more depth. The winch operator, once: it may be getting less.
medic_depth=(-8 -6 -4 -2 0 2 3 4)
medic_reps=(6 7 8 8 9 9 10 10)
winch_depth=(9 8 7 6 5 4 3.5 3.5)
for week in 1 2 3 4 5 6 7 8; do
  for day in 0 3; do
    invent medic $week $day "${squat[@]}" --height 1.68 --load 0 --pain 0 --rir 3 \
      --reps "${medic_reps[week - 1]}" --depth "${medic_depth[week - 1]}" --seed $((week * 10 + day))
  done
  invent "winch operator" $week 0 "${squat[@]}" --height 1.83 --load 30 --pain 0 --rir 3 \
    --reps 10 --depth "${winch_depth[week - 1]}" --seed $((500 + week))
  # In the last week the stretcher lead's shoulder hurts, and says so.
  pain=(--pain 0)
  [ $week = 8 ] && pain=(--pain 4 --pain-place "left shoulder")
  invent "stretcher lead" $week 3 "${push_up[@]}" --height 1.76 --load 0 --rir 2 "${pain[@]}" \
    --reps 8 --elbow-turn 38 --seed $((900 + week))
done
run logbook clients/medic/logbook.h5

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
