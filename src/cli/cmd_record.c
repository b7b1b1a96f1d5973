#include "cli/commands.h"

#include "base/json_value.h"
#include "base/number.h"
#include "bench/patience.h"
#include "cli/screen.h"
#include "report/json.h"
#include "report/kept.h"
#include "report/terminal.h"

#include <signal.h>
#include <unistd.h>

const char record_about[] =
    "Records one test into the book, live from the instruments of the rig, or from readings typed as they are seen;\n"
    "says where it stands, what is to be expected and what matters; and assesses it at the end. docs/recording.md\n\n"
    "  rundown record workshop.book --sample 'Hut pack 3' --rig bench.rig --label hut.label\n"
    "  rundown record workshop.book --sample 'Hut pack 3' --rig bench.rig --kind charge\n"
    "  rundown record workshop.book --sample 'Hut pack 3' --rig bench.rig --resume    after a crash\n"
    "  rundown record workshop.book --sample 'Hut pack 3' --on-call 'say \"$1\"'\n\n"
    "While it runs: Enter puts a mark; a line such as `12.9 V 24.8 A` is a reading by eye of the instant at which you\n"
    "began to type it, any other words are a mark; Ctrl-C ends the run. Marks and lines are read from standard input\n"
    "too. Without a rig, or with one that names no instruments, the typed lines are the test.\n\n"
    "The recorder's machine must not run from the inverter under test. Grounds shared by a supply, an instrument and\n"
    "a computer can short a shunt or bypass a BMS that switches the negative side: use isolated interfaces. A fuse\n"
    "belongs at the source. Do not leave a test alone.";

enum {
    OPT_SAMPLE,
    OPT_RIG,
    OPT_KIND,
    OPT_LABEL,
    OPT_PLAN,
    OPT_LIMIT,
    OPT_ON_CALL,
    OPT_RESUME,
    OPT_FOR,
    OPT_QUIET,
    OPT_JSON,
};

const struct option_spec record_options[] = {
    [OPT_SAMPLE] = {"sample", "NAME", "the battery under test; made in the book when it is new"},
    [OPT_RIG] = {"rig", "FILE",
                 "the instruments and their accuracy (docs/instruments.md); else the book's latest"},
    [OPT_KIND] = {"kind", "KIND", "discharge (default), charge, rest or protection"},
    [OPT_LABEL] = {"label", "FILE",
                   "the claims (docs/label.md); else those that the book has for the sample"},
    [OPT_PLAN] = {"plan", "FILE", "a plan (`rundown plan --save`): its burst is called out in time"},
    [OPT_LIMIT] = {"limit", "LIMIT",
                   "what else to call out: `low 10.5 V`, `high cell 3.6 V`, `most 120 A`,\n"
                   "`high 45 °C`, `rise 3 °C/min`, `no low cell` (repeatable)"},
    [OPT_ON_CALL] = {"on-call", "COMMAND",
                     "run by the shell for each call, with its words as $1 (docs/recording.md)"},
    [OPT_RESUME] = {"resume", NULL, "go on with the sample's run that a crash left open"},
    [OPT_FOR] = {"for", "TIME", "end after this time, `90min`"},
    [OPT_QUIET] = {"quiet", NULL, "print calls and the end only"},
    [OPT_JSON] = {"json", NULL, "print lines of JSON: the state each second, calls as they come, the end"},
    {NULL, NULL, NULL},
};

enum { LIMITS_AT_MOST = 32 };

struct arguments {
    struct recorder_request request;
    const char *limits[LIMITS_AT_MOST];
    double for_s;
    bool quiet, json;
};

static enum status take_kind(struct arguments *a, const char *value, struct message *message)
{
    for (int k = 0; k < TEST_WHOLE; k++) {
        if (strcmp(test_kind_words[k], value) == 0) {
            a->request.kind = (enum test_kind)k;
            return STATUS_OK;
        }
    }
    status_fail(message, STATUS_USAGE, "--kind does not know '%s'", value);
    return status_remedy(message, "use one of: discharge, charge, rest, protection");
}

static enum status take_time(struct arguments *a, const char *value, struct message *message)
{
    enum quantity quantity;
    size_t used = quantity_read(span_of(value), '.', &a->for_s, NULL, &quantity);
    if (used > 0 && used == strlen(value) && quantity == QUANTITY_TIME && a->for_s > 0)
        return STATUS_OK;
    status_fail(message, STATUS_USAGE, "--for cannot use '%s'", value);
    return status_remedy(message, "give it as `--for 90min`");
}

static enum status take_book(struct arguments *a, const char *value, struct message *message)
{
    if (a->request.book != NULL) {
        status_fail(message, STATUS_USAGE, "a test is recorded into one book, and '%s' is a second", value);
        return status_remedy(message, "name the sample with --sample");
    }
    a->request.book = value;
    return STATUS_OK;
}

static enum status take_limit(struct arguments *a, const char *value, struct message *message)
{
    if (a->request.limit_count == LIMITS_AT_MOST)
        return status_fail(message, STATUS_USAGE, "more than %d limits", LIMITS_AT_MOST);
    a->limits[a->request.limit_count++] = value;
    return STATUS_OK;
}

static enum status take(struct arguments *a, int option, const char *value, struct message *message)
{
    switch (option) {
    case OPTION_WORD: return take_book(a, value, message);
    case OPT_SAMPLE: a->request.sample = value; break;
    case OPT_RIG: a->request.rig = value; break;
    case OPT_KIND: return take_kind(a, value, message);
    case OPT_LABEL: a->request.label = value; break;
    case OPT_PLAN: a->request.plan = value; break;
    case OPT_LIMIT: return take_limit(a, value, message);
    case OPT_ON_CALL: a->request.on_call = value; break;
    case OPT_RESUME: a->request.resume = true; break;
    case OPT_FOR: return take_time(a, value, message);
    case OPT_QUIET: a->quiet = true; break;
    default: a->json = true;
    }
    return STATUS_OK;
}

static enum status parse(int argc, char **argv, struct arguments *a, struct message *message)
{
    struct option_walk walk = {.argc = argc, .argv = argv, .options = record_options};
    const char *value = NULL;
    for (int k; (k = option_next(&walk, &value, message)) != OPTION_END;) {
        if (k == OPTION_FAULT)
            return message->status;
        enum status status = take(a, k, value, message);
        if (status != STATUS_OK)
            return status;
    }
    a->request.limits = a->limits;
    if (a->request.book == NULL) {
        status_fail(message, STATUS_USAGE, "no book given");
        return status_remedy(message, "name one, or make it with `rundown book new workshop.book`");
    }
    if (a->request.sample == NULL || a->request.sample[0] == '\0') {
        status_fail(message, STATUS_USAGE, "no sample given");
        return status_remedy(message, "say which battery is tested, with --sample NAME");
    }
    return STATUS_OK;
}

static volatile sig_atomic_t asked_to_end;

static void ask_to_end(int signal)
{
    asked_to_end = signal;
}

/* Whoever starts it in the background, or closes the window, loses the screen and not the run. */
static void set_signals(void)
{
    struct sigaction end = {.sa_handler = ask_to_end}, none = {.sa_handler = SIG_IGN};
    sigaction(SIGINT, &end, NULL);
    sigaction(SIGTERM, &end, NULL);
    sigaction(SIGHUP, &end, NULL);
    sigaction(SIGPIPE, &none, NULL);
    sigaction(SIGTTIN, &none, NULL);
    sigaction(SIGTTOU, &none, NULL);
}

static void heed(void *context, const struct call *call)
{
    screen_call(context, call);
}

static void take_typed(struct recorder *recorder, struct screen *screen)
{
    char line[256], words[1300], at[32];
    int64_t at_ns;
    struct message message;
    while (screen_typed(screen, line, sizeof line, &at_ns)) {
        if (recorder_say(recorder, line, at_ns, &message) == STATUS_OK) {
            number_print_duration(fmax(round(recorder_at_s(recorder, at_ns)), 0), at, sizeof at);
            snprintf(words, sizeof words, "  %s  %s", at, line[0] != '\0' ? line : "mark");
            screen_say(screen, words);
            continue;
        }
        message.file[0] = '\0'; /* there is but one line, and it stands there */
        status_print(&message, words, sizeof words);
        screen_give_back(screen, line, at_ns);
        screen_say(screen, words);
        return;
    }
}

/* Until the operator, the time or the instruments end it; says which. */
static const char *run_until_end(struct recorder *recorder, const struct arguments *a, struct screen *screen)
{
    static const double turn_s = 0.05; /* of the machine: how long a key may wait */
    for (;;) {
        struct bench_view view;
        bool over = false;
        recorder_turn(recorder, turn_s, heed, screen, &view, &over);
        screen_show(screen, &view);
        take_typed(recorder, screen);
        if (asked_to_end != 0)
            return asked_to_end == SIGINT ? "ended by the operator" : "ended by a signal";
        if (over)
            return "every instrument came to its end";
        if (a->for_s > 0 && view.elapsed_s >= a->for_s)
            return "the time asked for was over";
    }
}

static bool given_up(void *context)
{
    return asked_to_end != 0;
}

static void say_held(void *screen, const struct message *fault, size_t held)
{
    char words[1400], what[1200];
    status_print(fault, what, sizeof what);
    snprintf(words, sizeof words, "! %s\n  %zu readings are held and tried again; Ctrl-C gives them up.", what, held);
    screen_say(screen, words);
}

static enum status end(struct recorder *recorder, const char *cause, struct screen *screen,
                       struct message *message)
{
    char words[160];
    asked_to_end = 0;
    struct patience patience = {PATIENCE_TRIES, given_up, say_held, screen};
    enum status status = patience_end(recorder, cause, &patience, message);
    if (status != STATUS_OK) {
        snprintf(words, sizeof words, "! %zu readings did not come into the book; the run stays open.",
                 recorder_held(recorder));
        screen_say(screen, words);
    }
    return status;
}

static void say_beginning(const struct recorder *recorder, const struct arguments *a, struct screen *screen)
{
    char words[320];
    if (a->json)
        return;
    snprintf(words, sizeof words, "%s run %lld of %s: %s:%lld",
             a->request.resume ? "Going on with" : "Recording", (long long)recorder_run(recorder),
             recorder_sample(recorder), a->request.book, (long long)recorder_run(recorder));
    screen_say(screen, words);
    if (recorder_instruments(recorder) == 0)
        screen_say(screen, "No instrument is connected: the lines you type are the test.");
    if (recorder_left_open(recorder) != 0) {
        snprintf(words, sizeof words,
                 "Run %lld of this sample was left open by a crash and stays so: --resume goes on with it.",
                 (long long)recorder_left_open(recorder));
        screen_say(screen, words);
    }
}

static enum status record(const struct arguments *a, int64_t *ret_run, const char **ret_cause,
                          struct message *message)
{
    struct recorder *recorder = NULL;
    enum status status = recorder_open(&a->request, NULL, &recorder, message);
    if (status == STATUS_OK)
        status = recorder_start(recorder, message);
    if (status == STATUS_OK) {
        set_signals();
        struct screen_form form = {.title = {recorder_sample(recorder), recorder_kind(recorder)},
                                   .json = a->json,
                                   .quiet = a->quiet,
                                   .no_input = recorder_takes_input(recorder),
                                   .clock = recorder_clock(recorder)};
        struct screen *screen = screen_open(&form);
        say_beginning(recorder, a, screen);
        *ret_cause = run_until_end(recorder, a, screen);
        status = end(recorder, *ret_cause, screen, message);
        screen_close(screen);
        *ret_run = recorder_run(recorder);
    }
    recorder_close(recorder);
    return status;
}

static void print_json_end(int64_t run, const char *cause, const struct text *assessed)
{
    struct text line = TEXT_EMPTY;
    json_t *end = json_object(), *whole = NULL;
    json_put_words(end, "ended", cause);
    json_put(end, "run", json_integer(run));
    if (json_parse("assessment", 1, (struct span){text_string(assessed), assessed->length}, &whole, NULL) ==
        STATUS_OK)
        json_put(end, "assessment", whole);
    json_add_text(end, true, &line);
    json_decref(end);
    printf("%s\n", text_string(&line));
    text_free(&line);
}

/* As `rundown assess BOOK:RUN` would, with the documents that the run was recorded with. */
static enum status assess_run_of(const struct arguments *a, int64_t run, const char *cause,
                                 struct message *message)
{
    struct text json = TEXT_EMPTY, words = TEXT_EMPTY;
    struct clock machine = clock_machine();
    struct assessment assessment;
    enum status status = kept_assess(a->request.book, run, a->request.plan, machine.utc_ns(machine.context),
                                     &assessment, message);
    if (status == STATUS_OK) {
        json_assessment(&assessment, &json);
        terminal_assessment(&assessment, &(struct terminal_form){.width = 100}, &words);
        assessment_free(&assessment);
    }
    if (a->json)
        print_json_end(run, cause, &json);
    else
        printf("Run %lld: %s.\n%s%s", (long long)run, cause, words.length > 0 ? "\n" : "",
               text_string(&words));
    text_free(&json);
    text_free(&words);
    return status;
}

int record_run(int argc, char **argv)
{
    struct arguments a = {0};
    struct message message;
    int64_t run = 0;
    const char *cause = "";
    if (parse(argc, argv, &a, &message) != STATUS_OK || record(&a, &run, &cause, &message) != STATUS_OK ||
        assess_run_of(&a, run, cause, &message) != STATUS_OK)
        return cli_fail(&message);
    return STATUS_OK;
}
