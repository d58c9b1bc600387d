# How the demo's scripts speak: sourced by them. Needs $strapline, the program, when run is called.

say() { printf '\n== %s\n' "$*"; }
run() { # shows the command as one would type it
  printf '$ strapline'
  for word in "$@"; do case $word in *' '*) printf ' "%s"' "$word" ;; *) printf ' %s' "$word" ;; esac; done
  printf '\n'
  "$strapline" "$@"
}
