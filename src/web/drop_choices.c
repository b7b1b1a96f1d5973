#include "web/drop_choices.h"

#include "intake/log.h"

static bool starts(const char *p, const char *with)
{
    return strncmp(p, with, strlen(with)) == 0;
}

/* What stands behind an option: up to a blank, a comma or a bracket. */
static size_t value_length(const char *p)
{
    return strcspn(p, " ,;)`");
}

static json_t *choice_new(void)
{
    json_t *choice = json_object();
    json_put_words(choice, "words", "");
    json_put(choice, "columns", json_array());
    json_put(choice, "period", json_null());
    json_put(choice, "sign", json_null());
    return choice;
}

static void add_words(json_t *choice, const struct text *words)
{
    struct text all = TEXT_EMPTY;
    const char *before = json_string_value(json_object_get(choice, "words"));
    text_addf(&all, "%s%s%s", before, before[0] != '\0' ? ", " : "", text_string(words));
    json_put_words(choice, "words", text_string(&all));
    text_free(&all);
}

static void take_column(json_t *choice, const char *value)
{
    struct column_wish wish;
    struct text words = TEXT_EMPTY;
    if (column_wish_read(value, &wish, NULL) != STATUS_OK)
        return;
    if (wish.role == COLUMN_UNUSED)
        text_addf(&words, "column %s is left out", wish.name);
    else
        text_addf(&words, "column %s is the %s", wish.name, role_name(wish.role, wish.channel));
    if (strcmp(wish.detail, "dmy") == 0 || strcmp(wish.detail, "mdy") == 0)
        text_add(&words, wish.detail[0] == 'd' ? ", day before month" : ", month before day");
    else if (wish.detail[0] != '\0')
        text_addf(&words, ", in %s", wish.detail);
    json_array_append_new(json_object_get(choice, "columns"), json_words(value));
    add_words(choice, &words);
    text_free(&words);
}

static void take_option(json_t *choice, const char *option, const char *value)
{
    struct text words = TEXT_EMPTY;
    if (starts(option, "--column")) {
        take_column(choice, value);
    } else if (starts(option, "--period")) {
        json_put_words(choice, "period", value);
        text_addf(&words, "one row every %s", value);
        add_words(choice, &words);
    } else if (starts(option, "--current")) {
        json_put_words(choice, "sign", value);
        text_addf(&words, "%s is counted as positive", starts(value, "charge") ? "charge" : "discharge");
        add_words(choice, &words);
    }
    text_free(&words);
}

/* The choice that is being put together; `open`: a column in it is still to be named. */
struct gathering {
    json_t *list, *choice;
    bool open;
};

static void end_choice(struct gathering *gathering)
{
    bool whole = !gathering->open && json_string_value(json_object_get(gathering->choice, "words"))[0] != '\0';
    if (whole)
        json_array_append_new(gathering->list, gathering->choice);
    else
        json_decref(gathering->choice);
    gathering->choice = choice_new();
    gathering->open = false;
}

/* The option at the start, with its value; returns the characters used, 0 when there is none. */
static size_t gather(struct gathering *gathering, const char *p)
{
    static const char *const options[] = {"--column ", "--period ", "--current ", NULL};
    char value[64];
    int k = 0;
    while (options[k] != NULL && !starts(p, options[k]))
        k++;
    if (options[k] == NULL)
        return 0;
    size_t head = strlen(options[k]), n = value_length(p + head);
    span_copy((struct span){p + head, n}, value, sizeof value);
    if (n >= 2 && n < sizeof value && strcmp(value + n - 2, "=N") == 0)
        gathering->open = true;
    else
        take_option(gathering->choice, options[k], value);
    return head + n;
}

json_t *drop_choices(const char *remedy)
{
    struct gathering gathering = {.list = json_array(), .choice = choice_new()};
    for (const char *p = remedy; *p != '\0';) {
        size_t used = gather(&gathering, p);
        if (used == 0 && starts(p, " or "))
            end_choice(&gathering);
        else if (starts(p, "as in "))
            break; /* an example follows */
        p += used > 0 ? used : 1;
    }
    end_choice(&gathering);
    json_decref(gathering.choice);
    return gathering.list;
}
