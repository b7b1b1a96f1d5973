#include "cli/commands.h"

#include "archive/book_json.h"
#include "archive/photograph.h"
#include "base/memory.h"
#include "base/output.h"
#include "cli/code_words.h"
#include "cli/desk.h"
#include "cli/picture_words.h"
#include "cli/values.h"
#include "report/json_parts.h"
#include "report/picture_codes.h"

const char picture_about[] =
    "Pictures of a sample: JPEG, PNG, WebP or HEIC, kept byte for byte as they came. What is shown is made from them:\n"
    "upright, scaled, without metadata, so that nothing tells where it was taken.\n\n"
    "add: and prints the codes that are read off each (QR, Data Matrix, Code 128), with what the code of a cell says;\n"
    "`rundown opened BOOK --sample NAME --take-codes` puts them to the cells. list: those of a sample, with their numbers.\n"
    "change: caption, item, whether it is on the sheet and the page. remove: for good; asks first.\n"
    "save: as it is shown, a JPEG; --original as it came, WITH all that the camera wrote into it, the place too.\n\n"
    "  rundown picture add workshop.book --sample \"Hut pack 14\" lead.jpg --item conductor-main-lead --caption \"The lead\"\n"
    "  rundown picture add workshop.book --sample \"Hut pack 14\" cells.heic --item cells --shown yes\n"
    "  rundown picture change workshop.book 3 --shown yes\n"
    "  rundown picture save workshop.book 3 lead-small.jpg --side 800";

enum { OPT_SAMPLE, OPT_CAPTION, OPT_ITEM, OPT_RUN, OPT_SHOWN, OPT_ORIGINAL, OPT_SIDE, OPT_YES, OPT_JSON };

const struct option_spec picture_options[] = {
    [OPT_SAMPLE] = {"sample", "NAME", "add, list: whose pictures"},
    [OPT_CAPTION] = {"caption", "WORDS", "add, change: one line that stands under it"},
    [OPT_ITEM] = {"item", "ITEM", "add, change: the item of the opened sample that it shows, as `conductor-main-lead`"},
    [OPT_RUN] = {"run", "NUMBER", "add: of a moment of this run"},
    [OPT_SHOWN] = {"shown", "yes|no", "add, change: on the sheet and the page"},
    [OPT_ORIGINAL] = {"original", NULL, "save: as it came, with its metadata"},
    [OPT_SIDE] = {"side", "PIXELS", "save: of the longer side at most, 16 to 4096; else 1600"},
    [OPT_YES] = {"yes", NULL, "remove: do not ask"},
    [OPT_JSON] = {"json", NULL, "print as JSON (docs/book.md)"},
    {NULL, NULL, NULL},
};

enum { DO_ADD, DO_LIST, DO_CHANGE, DO_REMOVE, DO_SAVE, FILES = 64 };

static const struct desk_action actions[] = {
    [DO_ADD] = {"add", "FILE"},       [DO_LIST] = {"list", NULL},     [DO_CHANGE] = {"change", "NUMBER"},
    [DO_REMOVE] = {"remove", "NUMBER"}, [DO_SAVE] = {"save", "NUMBER"}, {NULL, NULL}};

struct arguments {
    struct desk_words words;
    const char *files[FILES], *sample, *caption, *item;
    size_t file_count;
    int64_t run;
    int side, shown; /* shown: -1 not said */
    bool given[OPT_JSON + 1];
};

/* add takes several files, save one behind the number. */
static enum status take_word(struct arguments *a, const char *value, struct message *message)
{
    bool more = a->words.object != NULL && (a->words.action == DO_ADD || a->words.action == DO_SAVE);
    if (more || (a->words.book != NULL && a->words.action == DO_ADD)) {
        if (a->file_count == FILES)
            return status_fail(message, STATUS_USAGE, "more than %d files at once", FILES);
        a->files[a->file_count++] = value;
        a->words.object = a->words.object != NULL ? a->words.object : value;
        return STATUS_OK;
    }
    return desk_take_word(&a->words, "picture", actions, value, message);
}

static enum status take(struct arguments *a, int option, const char *value, struct message *message)
{
    static const char *const answers[] = {"no", "yes", NULL};
    int64_t number = 0;
    enum status status = STATUS_OK;
    if (option == OPTION_WORD)
        return take_word(a, value, message);
    a->given[option] = true;
    switch (option) {
    case OPT_SAMPLE: a->sample = value; break;
    case OPT_CAPTION: a->caption = value; break;
    case OPT_ITEM: a->item = value; break;
    case OPT_RUN: status = value_whole("--run", value, 1, INT64_MAX, &a->run, message); break;
    case OPT_SIDE:
        status = value_whole("--side", value, PHOTOGRAPH_LEAST, PHOTOGRAPH_MOST, &number, message);
        a->side = (int)number;
        break;
    case OPT_SHOWN: status = value_one_of("shown", value, answers, &a->shown, message); break;
    default: break;
    }
    return status;
}

/* The options that an action has a use for. */
static unsigned used_by(int action)
{
    switch (action) {
    case DO_ADD:
        return 1u << OPT_SAMPLE | 1u << OPT_CAPTION | 1u << OPT_ITEM | 1u << OPT_RUN | 1u << OPT_SHOWN | 1u << OPT_JSON;
    case DO_LIST: return 1u << OPT_SAMPLE | 1u << OPT_JSON;
    case DO_CHANGE: return 1u << OPT_CAPTION | 1u << OPT_ITEM | 1u << OPT_SHOWN | 1u << OPT_JSON;
    case DO_REMOVE: return 1u << OPT_YES;
    case DO_SAVE: return 1u << OPT_ORIGINAL | 1u << OPT_SIDE;
    default: return 0;
    }
}

/* An option that the action would pass over is a mistake. */
static enum status judge(const struct arguments *a, struct message *message)
{
    const char *action = actions[a->words.action].name;
    for (int k = 0; k <= OPT_JSON; k++)
        if (a->given[k] && (used_by(a->words.action) >> k & 1) == 0)
            return status_fail(message, STATUS_USAGE, "picture %s has no use for --%s", action, picture_options[k].name);
    bool of_sample = a->words.action == DO_ADD || a->words.action == DO_LIST;
    if (of_sample && a->sample == NULL)
        status_fail(message, STATUS_USAGE, "picture %s: whose pictures? No --sample is named", action);
    else if (a->words.action == DO_SAVE && a->file_count != 1)
        status_fail(message, STATUS_USAGE, "picture save takes one file behind the number");
    else if (a->words.action == DO_CHANGE && a->caption == NULL && a->item == NULL && a->shown < 0)
        status_fail(message, STATUS_USAGE, "what is to be changed? Give --caption, --item or --shown");
    else if (a->given[OPT_ORIGINAL] && a->given[OPT_SIDE])
        status_fail(message, STATUS_USAGE, "--original is never scaled: leave --side away");
    else
        return STATUS_OK;
    return status_remedy(message, "see `rundown picture --help`");
}

static enum status parse(int argc, char **argv, struct arguments *a, struct message *message)
{
    struct option_walk walk = {.argc = argc, .argv = argv, .options = picture_options};
    const char *value = NULL;
    enum status status = STATUS_OK;
    for (int k; status == STATUS_OK && (k = option_next(&walk, &value, message)) != OPTION_END;)
        status = k == OPTION_FAULT ? message->status : take(a, k, value, message);
    if (status == STATUS_OK)
        status = desk_want_words(&a->words, "picture", actions, message);
    return status == STATUS_OK ? judge(a, message) : status;
}

/* What `add` comes to: pictures and their codes. */
struct added {
    struct book_sample sample;
    json_t *pictures;
    struct text text;
};

static enum status tell_added(struct book *book, int64_t id, const struct code *codes, size_t count, struct added *added,
                              struct message *message)
{
    struct picture picture;
    json_t *one = NULL;
    enum status status = picture_get(book, id, &picture, message);
    if (status != STATUS_OK)
        return status;
    struct picture_list list = {&picture, 1};
    status = picture_list_words(book, &list, 0, &added->text, message);
    if (status == STATUS_OK)
        status = picture_json(book, &picture, &one, message);
    if (status == STATUS_OK) {
        codes_words(codes, count, 4, &added->text);
        json_t *found = picture_codes_json(codes, count);
        json_object_update(one, found);
        json_decref(found);
        json_array_append_new(added->pictures, one);
    }
    picture_free(&picture);
    return status;
}

static enum status add_file(struct book *book, const struct arguments *a, const char *path, struct added *added,
                            struct message *message)
{
    struct text bytes = TEXT_EMPTY;
    struct code codes[PICTURE_CODES];
    size_t count = 0;
    int64_t id = 0;
    enum status status = picture_load(path, &bytes, message);
    struct span span = {text_string(&bytes), bytes.length};
    if (status == STATUS_OK)
        status = picture_codes(path, span, codes, &count, message);
    struct photograph photograph = {.sample = added->sample.id, .run = a->run, .name = path, .bytes = span,
                                    .caption = a->caption != NULL ? a->caption : "", .item = a->item != NULL ? a->item : "",
                                    .shown = a->shown == 1, .utc_ns = desk_utc_ns()};
    if (status == STATUS_OK)
        status = photograph_add(book, &photograph, &id, message);
    text_free(&bytes);
    if (status == STATUS_OK)
        status = tell_added(book, id, codes, count, added, message);
    return status;
}

static enum status add_all(struct book *book, const struct arguments *a, struct added *added, struct message *message)
{
    enum status status = book_sample_find(book, a->sample, &added->sample, message);
    for (size_t k = 0; k < a->file_count && status == STATUS_OK; k++)
        status = add_file(book, a, a->files[k], added, message);
    return status;
}

/* All or nothing. */
static enum status add(struct book *book, const struct arguments *a, struct message *message)
{
    struct added *added = memory_get(sizeof *added);
    added->pictures = json_array();
    enum status status = book_begin(book, message);
    if (status == STATUS_OK) {
        status = add_all(book, a, added, message);
        if (status == STATUS_OK)
            status = book_commit(book, message);
        else
            book_rollback(book);
    }
    if (status == STATUS_OK && a->given[OPT_JSON]) {
        json_t *all = json_object();
        json_put(all, "pictures", json_incref(added->pictures));
        added->text.length = 0;
        json_finish(all, &added->text);
    }
    if (status == STATUS_OK)
        status = desk_print(&added->text, message);
    json_decref(added->pictures);
    text_free(&added->text);
    free(added);
    return status;
}

static enum status print_list(struct book *book, const struct arguments *a, const struct picture_list *list, int64_t sample,
                              struct message *message)
{
    struct text text = TEXT_EMPTY;
    enum status status = STATUS_OK;
    if (a->given[OPT_JSON]) {
        json_t *all = json_object(), *pictures = json_array();
        json_put(all, "pictures", pictures);
        status = pictures_json(book, sample, pictures, message);
        json_finish(all, &text);
    } else {
        status = picture_list_words(book, list, 0, &text, message);
    }
    if (status == STATUS_OK)
        status = desk_print(&text, message);
    text_free(&text);
    return status;
}

static enum status list(struct book *book, const struct arguments *a, struct message *message)
{
    struct book_sample sample;
    struct picture_list pictures = {0};
    enum status status = book_sample_find(book, a->sample, &sample, message);
    if (status == STATUS_OK)
        status = book_pictures(book, sample.id, &pictures, message);
    if (status == STATUS_OK)
        status = print_list(book, a, &pictures, sample.id, message);
    picture_list_free(&pictures);
    return status;
}

static enum status change(struct book *book, const struct arguments *a, struct picture *picture, struct message *message)
{
    struct picture_list one = {picture, 1};
    struct text text = TEXT_EMPTY;
    json_t *json = NULL;
    enum status status = photograph_say(picture, a->caption, a->item, message);
    picture->shown = a->shown >= 0 ? a->shown == 1 : picture->shown;
    if (status == STATUS_OK)
        status = picture_change(book, picture, message);
    if (status == STATUS_OK)
        status = a->given[OPT_JSON] ? picture_json(book, picture, &json, message)
                                    : picture_list_words(book, &one, 0, &text, message);
    if (json != NULL)
        json_finish(json, &text);
    if (status == STATUS_OK)
        status = desk_print(&text, message);
    text_free(&text);
    return status;
}

static enum status take_away(struct book *book, const struct arguments *a, const struct picture *picture,
                             struct message *message)
{
    char what[BOOK_NAME + 64];
    snprintf(what, sizeof what, "picture %lld, %s,", (long long)picture->id, picture->name);
    enum status status = desk_ask(what, a->given[OPT_YES], message);
    return status == STATUS_OK ? picture_remove(book, picture->id, message) : status;
}

static enum status save(const struct arguments *a, const struct picture *picture, struct message *message)
{
    struct text bytes = TEXT_EMPTY;
    if (a->given[OPT_ORIGINAL]) {
        fprintf(stderr, "as it came, with all that the camera wrote into it: it may tell when and where it was taken\n");
        return output_save(a->files[0], &picture->bytes, message);
    }
    enum status status = photograph_shown(picture, a->side > 0 ? a->side : PHOTOGRAPH_SIDE, &bytes, message);
    if (status == STATUS_OK)
        status = output_save(a->files[0], &bytes, message);
    text_free(&bytes);
    return status;
}

static enum status of_one(struct book *book, const struct arguments *a, struct message *message)
{
    struct picture picture;
    int64_t id = 0;
    enum status status = value_whole(actions[a->words.action].name, a->words.object, 1, INT64_MAX, &id, message);
    if (status == STATUS_OK)
        status = picture_get(book, id, &picture, message);
    if (status != STATUS_OK)
        return status;
    status = a->words.action == DO_CHANGE   ? change(book, a, &picture, message)
             : a->words.action == DO_REMOVE ? take_away(book, a, &picture, message)
                                            : save(a, &picture, message);
    picture_free(&picture);
    return status;
}

int picture_run(int argc, char **argv)
{
    struct arguments a = {.words = {.action = -1}, .shown = -1};
    struct message message;
    struct book *book = NULL;
    if (parse(argc, argv, &a, &message) != STATUS_OK)
        return cli_fail(&message);
    bool reads = a.words.action == DO_LIST || a.words.action == DO_SAVE;
    enum status status = desk_open(a.words.book, reads ? BOOK_READ : BOOK_WRITE, &book, &message);
    if (status == STATUS_OK)
        status = a.words.action == DO_ADD    ? add(book, &a, &message)
                 : a.words.action == DO_LIST ? list(book, &a, &message)
                                             : of_one(book, &a, &message);
    book_close(book);
    return status == STATUS_OK ? STATUS_OK : cli_fail(&message);
}
