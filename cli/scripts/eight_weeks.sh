#!/usr/bin/env bash
# Eight invented weeks of three clients of a mountain-rescue team, in the folder where it is called:
# recordings, and clients/ with their files and logbooks. The medic earns a step, the winch operator's
# range may have become less and cannot be told yet, the stretcher lead logs pain in the last week.
#   STRAPLINE=path/to/strapline bash eight_weeks.sh
set -euo pipefail
strapline=${STRAPLINE:?the program}

# shellcheck source=cli/scripts/voice.sh
. "$(dirname "$0")/voice.sh"

export STRAPLINE_CLIENTS=$PWD/clients
legs=left_thigh,left_shank,right_thigh,right_shank,chest
arms=left_upper_arm,right_upper_arm,left_forearm,right_forearm,chest,left_thigh
leg_kit="five straps on thighs, shanks and chest"
arm_kit="six straps on arms, chest and one thigh"

say "Three clients, each with an aim and a step of a ladder"
run client add medic --height 1.68 --mass 62 --kit "$leg_kit" --ladder squat=parallel
run client add "winch operator" --height 1.83 --mass 84 --kit "$leg_kit" --ladder squat=parallel_loaded
run client add "stretcher lead" --height 1.76 --mass 78 --kit "$arm_kit" --ladder push_up=floor
# The coach's own aim for these two: on a slope with a rucksack a hand's breadth more or less is fine,
# and the knee line counts at the turn, not in the wide stance.
for client in medic winch-operator; do
  mkdir -p "clients/$client/aims"
  "$strapline" aim show squat_parallel --toml |
    sed '0,/at_least = -5/s//at_least = -8/; 0,/at_most = 10/s//at_most = 15/
      s/bands.knee_line_distance]/bands.knee_line_distance_at_turn]/' \
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
    --reps 10 --knee-line -1 --depth "${winch_depth[week - 1]}" --seed $((500 + week))
  # In the last week the stretcher lead's shoulder hurts, and says so.
  pain=(--pain 0)
  [ $week = 8 ] && pain=(--pain 4 --pain-place "left shoulder")
  invent "stretcher lead" $week 3 "${push_up[@]}" --height 1.76 --load 0 --rir 2 "${pain[@]}" \
    --reps 8 --elbow-turn 38 --seed $((900 + week))
done
