# A log from a pipe gives what the file gives.
"$rundown" assess "$demo/hut-pack.log.csv" --rig "$demo/hut-pack.rig" --json --quiet >file.json
"$rundown" assess - --rig "$demo/hut-pack.rig" --json --quiet <"$demo/hut-pack.log.csv" >pipe.json
python3 -c 'import json
file, pipe = (json.load(open(n + ".json")) for n in ("file", "pipe"))
for key in ("totals", "runs", "steps", "capacity"):
    assert file[key] == pipe[key], key'
