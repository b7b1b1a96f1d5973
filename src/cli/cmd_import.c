#include "cli/commands.h"

#include "archive/bring_in.h"
#include "base/json_value.h"
#include "cli/desk.h"
#include "cli/values.h"
#include "intake/readings.h"

const char import_about[] =
    "Puts logs, or readings typed by eye, into a book: every digit as it was printed, and what the reader of the\n"
    "log said of it, so that `rundown assess BOOK:RUN` gives what it gives on the file. The label and the rig are\n"
    "kept with them, as typed.\n\n"
    "  rundown import workshop.book discharge.csv --sample \"Hut pack 3\" --kind discharge\n"
    "  rundown import workshop.book film.readings --sample \"Hut pack 3\" --label s14.label --rig bench.rig\n"
    "  rundown import workshop.book plain.csv --sample 7 --column time=1 --column voltage=2 --column current=3\n\n"
    "A log that cannot be read is not put in, nor what follows it; what was put in before it stays.";

enum { OPT_SAMPLE, OPT_KIND, OPT_LABEL, OPT_RIG, OPT_COLUMN, OPT_PERIOD, OPT_CURRENT, OPT_JSON, OPT_QUIET };

const struct option_spec import_options[] = {
    [OPT_SAMPLE] = {"sample", "NAME", "the sample that was tested; made when the book has none of that name"},
    [OPT_KIND] = {"kind", "KIND", "discharge, charge, rest, protection, or whole (default): a test of several parts"},
    [OPT_LABEL] = {"label", "FILE", "the sample's label (docs/label.md), kept as its newest version"},
    [OPT_RIG] = {"rig", "FILE", "the meters' accuracy (docs/rig.md), as it was in this test"},
    [OPT_COLUMN] = {"column", "WHAT=COLUMN", "settle a column, as for `rundown assess`"},
    [OPT_PERIOD] = {"period", "TIME", "the log has no time column: one row every so often, `1s`, `200ms`"},
    [OPT_CURRENT] = {"current", "SIGN", "discharge-positive or charge-positive, where the log cannot tell"},
    [OPT_JSON] = {"json", NULL, "print what was put in as JSON"},
    [OPT_QUIET] = {"quiet", NULL, "no progress on standard error"},
    {NULL, NULL, NULL},
};

enum { LOGS = 256 };

struct arguments {
    const char *book, *sample, *label, *rig;
    const char *logs[LOGS];
    size_t log_count;
    int kind;
    struct log_options log_options;
    struct column_wish wishes[VALUE_WISHES];
    bool json, quiet;
};

static enum status take(struct arguments *a, int option, const char *value, struct message *message)
{
    switch (option) {
    case OPTION_WORD:
        if (a->book == NULL)
            a->book = value;
        else if (a->log_count == LOGS)
            return status_fail(message, STATUS_USAGE, "more than %d logs at once", LOGS);
        else
            a->logs[a->log_count++] = value;
        break;
    case OPT_SAMPLE: a->sample = value; break;
    case OPT_KIND: return value_one_of("kind", value, test_kind_words, &a->kind, message);
    case OPT_LABEL: a->label = value; break;
    case OPT_RIG: a->rig = value; break;
    case OPT_COLUMN: return value_column(value, a->wishes, &a->log_options, message);
    case OPT_PERIOD: return value_quantity("period", value, QUANTITY_TIME, "1s", &a->log_options.period_s, message);
    case OPT_CURRENT: return value_sign("current", value, &a->log_options.sign, message);
    case OPT_JSON: a->json = true; break;
    case OPT_QUIET: a->quiet = true; break;
    default: break;
    }
    return STATUS_OK;
}

static enum status parse(int argc, char **argv, struct arguments *a, struct message *message)
{
    struct option_walk walk = {.argc = argc, .argv = argv, .options = import_options};
    const char *value = NULL;
    for (int k; (k = option_next(&walk, &value, message)) != OPTION_END;) {
        enum status status = k == OPTION_FAULT ? message->status : take(a, k, value, message);
        if (status != STATUS_OK)
            return status;
    }
    if (a->book == NULL || a->log_count == 0)
        status_fail(message, STATUS_USAGE, a->book == NULL ? "no book given" : "no log given");
    else if (a->sample == NULL)
        status_fail(message, STATUS_USAGE, "whose readings are these? No --sample given");
    else
        return STATUS_OK;
    return status_remedy(message, "as in `rundown import workshop.book discharge.csv --sample \"Hut pack 3\"`");
}

/* What was put in, for the report at the end. */
struct put_in {
    int64_t run;
    size_t readings, bad;
};

struct importing {
    const struct arguments *a;
    struct book *book;
    struct desk_paper label, rig;
    struct bring_in request;
    struct progress progress;
    struct put_in *done;
    size_t put; /* of the logs */
    struct message *message;
};

static struct bring_paper brought(const struct desk_paper *paper)
{
    if (paper->name[0] == '\0')
        return (struct bring_paper){0};
    return (struct bring_paper){paper->name, {text_string(&paper->text), paper->text.length}};
}

static enum status take_papers(struct importing *i)
{
    const struct arguments *a = i->a;
    enum status status = STATUS_OK;
    if (a->label != NULL)
        status = desk_read_paper(DOCUMENT_LABEL, a->label, &i->label, i->message);
    if (status == STATUS_OK && a->rig != NULL)
        status = desk_read_paper(DOCUMENT_RIG, a->rig, &i->rig, i->message);
    i->request.label = brought(&i->label);
    i->request.rig = brought(&i->rig);
    return status;
}

static enum status put_in(struct importing *i, const char *path, const struct log *log, struct put_in *done)
{
    struct book_run run;
    enum status status = bring_in(i->book, &i->request, log, path, &run, i->message);
    if (status == STATUS_OK)
        done->run = run.id;
    return status;
}

static enum status import_log(struct importing *i, const char *path, struct put_in *done)
{
    struct log log;
    struct log_options options = i->a->log_options;
    options.digits = true;
    options.progress = progress_function(i->a->quiet);
    options.context = &i->progress;
    i->progress = (struct progress){"reading", -1};
    enum status status = log_read(path, &options, &log, i->message);
    if (status != STATUS_OK)
        return status;
    i->progress = (struct progress){"storing", -1};
    i->request.stored.progress = options.progress;
    i->request.stored.context = &i->progress;
    status = put_in(i, path, &log, done);
    done->readings = log.series.count;
    done->bad = log.bad_count;
    log_free(&log);
    return status;
}

static enum status import_all(struct importing *i)
{
    const struct arguments *a = i->a;
    enum status status = take_papers(i);
    for (size_t k = 0; k < a->log_count && status == STATUS_OK; k++) {
        bool by_eye = strcmp(a->logs[k], "-") != 0 && readings_look_like(a->logs[k]);
        status = by_eye ? put_in(i, a->logs[k], NULL, &i->done[k]) : import_log(i, a->logs[k], &i->done[k]);
        i->put += status == STATUS_OK;
    }
    return status;
}

static enum status report(const struct importing *i)
{
    const struct arguments *a = i->a;
    json_t *all = json_object(), *list = json_array();
    struct text text = TEXT_EMPTY;
    for (size_t k = 0; k < i->put; k++) {
        const struct put_in *done = &i->done[k];
        if (!a->json && done->readings == 0)
            text_addf(&text, "run %lld: %s, as typed\n", (long long)done->run, a->logs[k]);
        else if (!a->json)
            text_addf(&text, "run %lld: %zu readings of %s%s\n", (long long)done->run, done->readings, a->logs[k],
                      done->bad > 0 ? " (rows that cannot be read are listed with the run)" : "");
        json_t *one = json_object();
        json_put(one, "run", json_integer(done->run));
        json_put_words(one, "path", a->logs[k]);
        json_put(one, "readings", json_integer((json_int_t)done->readings));
        json_put(one, "rows_left_out", json_integer((json_int_t)done->bad));
        json_array_append_new(list, one);
    }
    json_put_words(all, "book", a->book);
    json_put_words(all, "sample", a->sample);
    json_put(all, "runs", list);
    if (a->json) {
        json_add_text(all, false, &text);
        text_add(&text, "\n");
    }
    enum status status = desk_print(&text, i->message);
    text_free(&text);
    json_decref(all);
    return status;
}

int import_run(int argc, char **argv)
{
    struct arguments a = {.kind = TEST_WHOLE};
    struct message message;
    if (parse(argc, argv, &a, &message) != STATUS_OK)
        return cli_fail(&message);
    struct put_in done[LOGS] = {0};
    struct importing i = {.a = &a, .done = done, .message = &message};
    if (desk_open(a.book, BOOK_WRITE, &i.book, &message) != STATUS_OK)
        return cli_fail(&message);
    i.request.sample = a.sample;
    i.request.stored.run.kind = (enum test_kind)a.kind;
    i.request.stored.run.added_utc_ns = desk_utc_ns();
    enum status status = import_all(&i);
    text_free(&i.label.text);
    text_free(&i.rig.text);
    book_close(i.book);
    struct message kept = message; /* what was put in before a fault is told all the same */
    enum status told = report(&i);
    if (status != STATUS_OK)
        return cli_fail(&kept);
    return told == STATUS_OK ? STATUS_OK : cli_fail(&message);
}
