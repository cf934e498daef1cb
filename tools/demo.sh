#!/bin/sh
# Writes the two example plans, checks them, takes invented readings into them, draws maps and charts.
# A verdict that is not "meets" (exit codes 1 and 3) is a result, not a failure of the demo.
set -eu

cd "$(dirname "$0")/.."
sunfleck=.venv/bin/sunfleck
rule() { printf '\n== %s ==\n\n' "$*"; }

example() {
    folder=$1 name=$2
    rule "$name: $folder/plan.yaml"
    if [ -e "$folder/plan.yaml" ]; then
        echo "$folder is kept as it is; remove the folder to start from the example again."
    else
        "$sunfleck" new "$folder" --example "$name"
    fi
    code=0
    "$sunfleck" check "$folder/plan.yaml" || code=$?
    case $code in 0 | 1 | 3) ;; *) exit "$code" ;; esac
    rule "how warm $name gets"
    code=0
    "$sunfleck" climate "$folder/plan.yaml" || code=$?
    case $code in 0 | 1 | 3) ;; *) exit "$code" ;; esac
    rule "remedies for the light of $name (tried one by one; without --light, for heat too: some minutes)"
    code=0
    "$sunfleck" remedies --light "$folder/plan.yaml" || code=$?
    case $code in 0 | 1 | 3) ;; *) exit "$code" ;; esac
    meter_round "$folder" "$name"
    rule "maps of $name"
    "$sunfleck" map "$folder/plan.yaml"
    "$sunfleck" climate "$folder/plan.yaml" --charts --format png
}

# Readings are invented: the tubes of the demo give a quarter less than they did on the bench.
meter_round() {
    folder=$1 name=$2
    rule "where to read in $name"
    "$sunfleck" stations "$folder/plan.yaml" --light --sheet "$folder/stations.pdf"
    if [ ! -e "$folder/surveys" ]; then
        "$sunfleck" survey new "$folder/plan.yaml" --kind dry --by "A. Keeper" --room "21 degC" --warm-up "4 h"
        "$sunfleck" survey instrument "$folder/plan.yaml" name="round meter" reads=uvi accuracy="5 %"
        "$sunfleck" survey csv "$folder/plan.yaml" "tools/demo-$name.csv"
    fi
    rule "what the readings say of $name"
    code=0
    "$sunfleck" calibrate "$folder/plan.yaml" || code=$?
    case $code in 0 | 1 | 3) ;; *) exit "$code" ;; esac
}

mkdir -p demo
example demo/tall tall-planted
example demo/arid arid

rule "where things are"
echo "plans   demo/tall/plan.yaml, demo/arid/plan.yaml (change a line, then check again)"
find demo -name '*.png' -o -name '*.pdf' | sort | sed 's/^/drawn   /'
echo "again   $sunfleck check demo/tall/plan.yaml"
echo "through $sunfleck passage demo/tall/plan.yaml \"back panel\" --draw demo/tall/passage   (numbered drawings; --template: cardboard)"
echo "open    $sunfleck open demo/tall   (the workbench: see the box, drag its lamps)"
