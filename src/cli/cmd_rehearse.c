#include "cli/commands.h"

#include "base/json_value.h"
#include "base/number.h"
#include "base/output.h"
#include "intake/ini.h"
#include "rehearsal/beside.h"
#include "rehearsal/diary.h"
#include "rehearsal/served.h"
#include "rehearsal/truth_json.h"

#include <signal.h>
#include <unistd.h>

const char rehearse_about[] =
    "Plays a test that never happens, on an invented pack and an invented bench, faster than life: for training, for\n"
    "trying a rig, and to hold findings against the truth. The bench meter speaks SCPI, the shunt meter Modbus TCP (and\n"
    "MQTT), the probe lines of text. The bench waits until a meter is asked for a reading. docs/rehearsal.md has the\n"
    "form of a SCRIPT; without one, a test of an invented 100 Ah pack is played.\n\n"
    "  rundown rehearse --speed 600 --rig bench.rig --label pack.label --truth truth.json\n"
    "  rundown record workshop.book --sample rehearsed --rig bench.rig --label pack.label     (in a second terminal)\n"
    "  rundown rehearse demo/cold-night.rehearsal --seed 7\n"
    "  rundown rehearse --print-script > my.rehearsal     a script to begin with\n"
    "  rundown rehearse --compare truth.json found.json   what `assess --json` found, beside what was true";

enum {
    OPT_SPEED,
    OPT_SEED,
    OPT_RIG,
    OPT_LABEL,
    OPT_TRUTH,
    OPT_LOG,
    OPT_SCPI,
    OPT_MODBUS,
    OPT_LINES,
    OPT_MQTT,
    OPT_NOW,
    OPT_ONLY_WRITE,
    OPT_PRINT,
    OPT_COMPARE,
    OPT_JSON
};

const struct option_spec rehearse_options[] = {
    [OPT_SPEED] = {"speed", "N", "times faster than life, 1 to 10000; 60 when not stated"},
    [OPT_SEED] = {"seed", "N", "draws the cells and every meter's errors; the script's own when not stated"},
    [OPT_RIG] = {"rig", "FILE", "write the rig file by which `rundown record` reaches this bench"},
    [OPT_LABEL] = {"label", "FILE", "write the label of the invented pack"},
    [OPT_TRUTH] = {"truth", "FILE", "write what is true, as JSON (docs/rehearsal.md)"},
    [OPT_LOG] = {"log", "FILE", "write all that the bench meter will show, as a log for `assess`"},
    [OPT_SCPI] = {"scpi", "PORT", "serve the bench meter there; a free port when not stated"},
    [OPT_MODBUS] = {"modbus", "PORT", "serve the shunt meter there; a free port when not stated"},
    [OPT_LINES] = {"lines", "PORT", "serve the probe there; a free port when not stated"},
    [OPT_MQTT] = {"mqtt", "HOST:PORT", "let the shunt meter publish to this broker as well"},
    [OPT_NOW] = {"now", NULL, "do not wait for somebody to ask"},
    [OPT_ONLY_WRITE] = {"only-write", NULL, "write the files asked for and serve nothing"},
    [OPT_PRINT] = {"print-script", NULL, "print the script that is played when none is named"},
    [OPT_COMPARE] = {"compare", "TRUTH", "play nothing: hold the JSON of `assess --json` against this truth"},
    [OPT_JSON] = {"json", NULL, "print where the bench is served, then the truth, each as JSON"},
    {NULL, NULL, NULL},
};

struct arguments {
    const char *script, *rig, *label, *truth, *log, *compare;
    double speed, seed; /* seed NaN: the script's own */
    struct bench_ports ports;
    char broker[256];
    bool now, only_write, print, json;
};

static enum status take_number(const char *option, const char *value, double least, double most, bool whole,
                               double *ret_number, struct message *message)
{
    double number;
    if (number_is(span_of(value), '.', &number) && number >= least && number <= most &&
        (!whole || number == floor(number))) {
        *ret_number = number;
        return STATUS_OK;
    }
    status_fail(message, STATUS_USAGE, "--%s cannot use '%s'", option, value);
    return status_remedy(message, "give a %snumber from %.0f to %.0f", whole ? "whole " : "", least, most);
}

static enum status take_port(const char *option, const char *value, int *ret_port, struct message *message)
{
    double number = 0;
    enum status status = take_number(option, value, 0, 65535, true, &number, message);
    *ret_port = (int)number;
    return status;
}

/* `HOST:PORT`; the last colon counts, and 1883 is the port of MQTT (IANA) where none is named. */
static enum status take_broker(const char *value, struct arguments *a, struct message *message)
{
    const char *colon = strrchr(value, ':');
    size_t n = colon != NULL ? (size_t)(colon - value) : strlen(value);
    a->ports.mqtt_port = 1883;
    enum status status =
        colon != NULL ? take_port("mqtt", colon + 1, &a->ports.mqtt_port, message) : STATUS_OK;
    if (status == STATUS_OK && (n == 0 || n >= sizeof a->broker)) {
        status_fail(message, STATUS_USAGE, "--mqtt cannot use '%s'", value);
        status = status_remedy(message, "give the broker as HOST:PORT, such as localhost:1883");
    }
    span_copy((struct span){value, n < sizeof a->broker ? n : 0}, a->broker, sizeof a->broker);
    a->ports.mqtt_host = a->broker;
    return status;
}

static enum status take(int option, const char *value, struct arguments *a, struct message *message)
{
    switch (option) {
    case OPT_SPEED: return take_number("speed", value, 1, 10000, false, &a->speed, message);
    case OPT_SEED: return take_number("seed", value, 0, UINT32_MAX, true, &a->seed, message);
    case OPT_SCPI: return take_port("scpi", value, &a->ports.scpi, message);
    case OPT_MODBUS: return take_port("modbus", value, &a->ports.modbus, message);
    case OPT_LINES: return take_port("lines", value, &a->ports.lines, message);
    case OPT_MQTT: return take_broker(value, a, message);
    case OPT_RIG: a->rig = value; break;
    case OPT_LABEL: a->label = value; break;
    case OPT_TRUTH: a->truth = value; break;
    case OPT_LOG: a->log = value; break;
    case OPT_COMPARE: a->compare = value; break;
    case OPT_NOW: a->now = true; break;
    case OPT_ONLY_WRITE: a->only_write = true; break;
    case OPT_PRINT: a->print = true; break;
    default: a->json = true;
    }
    return STATUS_OK;
}

static enum status parse(int argc, char **argv, struct arguments *a, struct message *message)
{
    struct option_walk walk = {.argc = argc, .argv = argv, .options = rehearse_options};
    const char *value = NULL;
    enum status status = STATUS_OK;
    for (int k; status == STATUS_OK && (k = option_next(&walk, &value, message)) != OPTION_END;) {
        if (k == OPTION_FAULT)
            return message->status;
        if (k != OPTION_WORD) {
            status = take(k, value, a, message);
        } else if (a->script != NULL) {
            status_fail(message, STATUS_USAGE, "rehearse plays one script, not '%s' as well", value);
            status = status_remedy(message, "rehearse them one after the other");
        } else {
            a->script = value;
        }
    }
    if (status == STATUS_OK && a->compare != NULL && a->script == NULL) {
        status_fail(message, STATUS_USAGE, "--compare holds findings against the truth, and none are named");
        return status_remedy(message, "`rundown assess … --json > found.json`, then name found.json");
    }
    return status;
}

/* Asked to end: a signal, which a wait for the next turn hears. */
static volatile sig_atomic_t asked_to_end;

static void ask_to_end(int signal)
{
    asked_to_end = 1;
}

static void heed_signals(void)
{
    struct sigaction heed = {.sa_handler = ask_to_end};
    sigaction(SIGINT, &heed, NULL);
    sigaction(SIGTERM, &heed, NULL);
    signal(SIGPIPE, SIG_IGN); /* a listener that goes away */
}

static enum status save(const char *path, void (*write)(const struct rehearsal *, struct text *),
                        const struct rehearsal *rehearsal, struct message *message)
{
    if (path == NULL)
        return STATUS_OK;
    struct text text = TEXT_EMPTY;
    write(rehearsal, &text);
    enum status status = output_save(path, &text, message);
    text_free(&text);
    return status;
}

static enum status save_rig(const struct arguments *a, const struct rehearsal *rehearsal,
                            const struct bench_ports *ports, struct message *message)
{
    if (a->rig == NULL)
        return STATUS_OK;
    struct text text = TEXT_EMPTY;
    bench_rig(rehearsal, ports, a->speed, &text);
    enum status status = output_save(a->rig, &text, message);
    text_free(&text);
    return status;
}

static void say(struct text *text)
{
    fputs(text_string(text), stdout);
    fflush(stdout);
    text_free(text);
}

/* Where the bench is served, and what to type next. */
static void announce(const struct arguments *a, const struct rehearsal *rehearsal,
                     const struct bench_ports *ports)
{
    double lasts_s = rehearsal->truth.intervals[rehearsal->truth.count].t_s;
    struct text text = TEXT_EMPTY;
    text_addf(&text, "%s (invented), seed %u: %.2f h at %.6g times life, %.0f s\n", rehearsal->script->name,
              (unsigned)rehearsal->script->seed, lasts_s / 3600, a->speed, lasts_s / a->speed);
    text_addf(&text, "  bench meter  SCPI       127.0.0.1:%d\n", ports->scpi);
    text_addf(&text, "  shunt meter  Modbus TCP 127.0.0.1:%d\n", ports->modbus);
    text_addf(&text, "  probe        lines      127.0.0.1:%d\n", ports->lines);
    if (ports->mqtt_host != NULL)
        text_addf(&text, "  shunt meter  MQTT       %s:%d, topic %s\n", ports->mqtt_host, ports->mqtt_port,
                  ports->mqtt_topic);
    if (a->rig == NULL)
        text_add(&text, "--rig FILE writes the rig file by which `rundown record` reaches this bench.\n");
    if (!a->now)
        text_add(&text,
                 "It stands at its first instant until the bench meter or the shunt meter is asked.\n");
    say(&text);
}

static void announce_json(const struct arguments *a, const struct bench_ports *ports)
{
    json_t *at = json_object();
    json_put(at, "scpi", json_integer(ports->scpi));
    json_put(at, "modbus", json_integer(ports->modbus));
    json_put(at, "lines", json_integer(ports->lines));
    if (ports->mqtt_host != NULL) {
        json_put_words(at, "mqtt_host", ports->mqtt_host);
        json_put(at, "mqtt_port", json_integer(ports->mqtt_port));
        json_put_words(at, "mqtt_topic", ports->mqtt_topic);
    }
    json_put(at, "speed", json_number(a->speed));
    struct text text = TEXT_EMPTY;
    json_add_text(at, true, &text);
    text_add(&text, "\n");
    json_decref(at);
    say(&text);
}

/* Tells what happens until the program is over or somebody ends it. */
static void watch(const struct arguments *a, const struct rehearsal *rehearsal, const struct live *live)
{
    static const struct timespec turn = {0, 50 * 1000 * 1000};
    struct diary diary = {.rehearsal = rehearsal};
    while (!asked_to_end && !live_over(live)) {
        struct text text = TEXT_EMPTY;
        if (!a->json && live_begun(live) && diary_tell(&diary, live_s(live), &text))
            say(&text);
        nanosleep(&turn, NULL);
    }
    struct text rest = TEXT_EMPTY;
    if (a->json)
        truth_json(rehearsal, &rest);
    else if (live_over(live))
        diary_tell(&diary, INFINITY, &rest);
    if (!a->json)
        diary_sum_up(rehearsal, &rest);
    say(&rest);
}

static enum status serve(const struct arguments *a, const struct rehearsal *rehearsal,
                         struct message *message)
{
    struct clock_paced paced;
    struct clock clock = clock_at_rate(&paced, a->speed);
    struct served *served;
    heed_signals();
    enum status status = served_open(rehearsal, &clock, &a->ports, a->now, &served, message);
    if (status != STATUS_OK)
        return status;
    status = save_rig(a, rehearsal, served_ports(served), message);
    if (status == STATUS_OK) {
        if (a->json)
            announce_json(a, served_ports(served));
        else
            announce(a, rehearsal, served_ports(served));
        watch(a, rehearsal, served_live(served));
    }
    served_close(served);
    return status;
}

static enum status read_json(const char *path, json_t **ret_value, struct message *message)
{
    struct text text = TEXT_EMPTY;
    enum status status = ini_load(path, &text, message);
    if (status == STATUS_OK)
        status = json_parse(path, 1, span_of(text_string(&text)), ret_value, message);
    text_free(&text);
    return status;
}

static enum status compare(const char *truth_path, const char *found_path, struct message *message)
{
    json_t *truth = NULL, *found = NULL;
    int told, held;
    struct text text = TEXT_EMPTY;
    enum status status = read_json(truth_path, &truth, message);
    if (status == STATUS_OK)
        status = read_json(found_path, &found, message);
    if (status == STATUS_OK)
        status = beside_table(truth_path, truth, found_path, found, &text, &told, &held, message);
    if (status == STATUS_OK) {
        text_addf(&text, "%d of %d true values lie inside their 95 %% interval; the rehearsal is invented\n",
                  held, told);
        say(&text);
    }
    json_decref(truth);
    json_decref(found);
    text_free(&text);
    return status;
}

static enum status play(const struct arguments *a, struct script *script, struct message *message)
{
    if (!isnan(a->seed))
        script->seed = (uint32_t)a->seed;
    struct rehearsal *rehearsal = rehearsal_new(script);
    enum status status = save(a->truth, truth_json, rehearsal, message);
    if (status == STATUS_OK)
        status = save(a->label, bench_label, rehearsal, message);
    if (status == STATUS_OK)
        status = save(a->log, bench_log, rehearsal, message);
    if (status == STATUS_OK && a->only_write)
        status = save_rig(a, rehearsal, &a->ports, message);
    if (status == STATUS_OK && !a->only_write)
        status = serve(a, rehearsal, message);
    rehearsal_free(rehearsal);
    return status;
}

int rehearse_run(int argc, char **argv)
{
    struct arguments a = {.speed = 60, .seed = NAN, .ports.mqtt_topic = "rundown/rehearsal"};
    struct message message;
    if (parse(argc, argv, &a, &message) != STATUS_OK)
        return cli_fail(&message);
    if (a.print) {
        fputs(script_default, stdout);
        return STATUS_OK;
    }
    if (a.compare != NULL)
        return compare(a.compare, a.script, &message) == STATUS_OK ? STATUS_OK : cli_fail(&message);
    struct script script;
    enum status status =
        a.script != NULL ? script_read(a.script, &script, &message)
                         : script_read_text("the default script", span_of(script_default), &script, &message);
    if (status != STATUS_OK)
        return cli_fail(&message);
    status = play(&a, &script, &message);
    script_free(&script);
    return status == STATUS_OK ? STATUS_OK : cli_fail(&message);
}
