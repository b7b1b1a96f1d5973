#include "instrument/line_form.h"

#include "base/memory.h"
#include "base/nearest.h"
#include "base/number.h"
#include "instrument/field.h"
#include "instrument/json_field.h"

#include <ctype.h>
#include <regex.h>

enum sort { SORT_NONE, SORT_FIELD, SORT_KEY, SORT_GROUP };
static const char *const sorts[] = {"", "field", "key", "group", NULL};
enum { GROUPS = 40, FIELDS = 256 };

struct source {
    int number;      /* of a field or group */
    struct span key; /* within the link */
    const struct link_channel *channel;
};

struct line_form {
    const struct link *link;
    enum sort sort;
    char stated, found; /* the separator; 0: none */
    char decimal;
    bool has_pattern;
    regex_t pattern;
    struct text line;                         /* in hand, ended as regexec wants it */
    struct source sources[LINK_CHANNELS + 1]; /* the last is the time's, when link.own_time */
    int count, needed;                        /* needed: the highest number */
};

static enum status read_source(struct line_form *form, const struct link_channel *channel,
                               struct message *message)
{
    struct span rest = span_of(channel->source), word = span_take_word(&rest);
    struct source *source = &form->sources[form->count++];
    *source = (struct source){.key = span_trim(rest), .channel = channel};
    enum sort sort = span_is_word(word, "field")   ? SORT_FIELD
                     : span_is_word(word, "key")   ? SORT_KEY
                     : span_is_word(word, "group") ? SORT_GROUP
                                                   : SORT_NONE;
    int most = sort == SORT_FIELD ? FIELDS : GROUPS - 1;
    double number = 0;
    bool numbered =
        number_is(source->key, '.', &number) && number >= 1 && number <= most && number == floor(number);
    if (sort == SORT_NONE || source->key.n == 0 || (sort != SORT_KEY && !numbered)) {
        link_fault(form->link, NULL, channel, message, "`%s` says not where in a line the %s stands",
                   channel->source, channel->name);
        return status_remedy(message, "write `field 2`, `key volts`, or `group 1` with a `pattern`");
    }
    if (form->sort != SORT_NONE && form->sort != sort) {
        link_fault(form->link, NULL, channel, message, "`%s` stands beside a `%s`", channel->source,
                   sorts[form->sort]);
        return status_remedy(message, "use one sort for all channels of [%s]", form->link->name);
    }
    form->sort = sort;
    source->number = sort == SORT_KEY ? 0 : (int)number;
    form->needed = source->number > form->needed ? source->number : form->needed;
    return STATUS_OK;
}

static enum status read_word(const struct line_form *form, const char *key, const char *const *words,
                             const char *meanings, char *ret_meaning, struct message *message)
{
    const struct link_setting *setting = link_setting(form->link, key, NULL);
    if (setting == NULL)
        return STATUS_OK;
    int at = name_find(span_of(setting->value), words);
    if (at < 0) {
        char list[100];
        name_list(words, list, sizeof list);
        link_fault(form->link, setting, NULL, message, "`%s` is no %s known here", setting->value, key);
        return status_remedy(message, "write one of %s", list);
    }
    *ret_meaning = meanings[at];
    return STATUS_OK;
}

static enum status read_pattern(struct line_form *form, struct message *message)
{
    const struct link_setting *setting = link_setting(form->link, "pattern", NULL);
    if (setting == NULL && form->sort == SORT_GROUP) {
        link_fault(form->link, NULL, &form->link->channels[0], message,
                   "a group needs a pattern that it is in");
        return status_remedy(message, "write for instance `pattern = V:([0-9.]+) *I:([-0-9.]+)`");
    }
    if (setting == NULL)
        return STATUS_OK;
    char why[128];
    int error = regcomp(&form->pattern, setting->value, REG_EXTENDED);
    if (error != 0) {
        regerror(error, &form->pattern, why, sizeof why);
        link_fault(form->link, setting, NULL, message, "this pattern cannot be read: %s", why);
        return status_remedy(message,
                             "it is a POSIX extended regular expression; put `\\` before ( ) [ { . * + ? ^ $ "
                             "that stand for themselves");
    }
    form->has_pattern = true;
    if (form->sort != SORT_GROUP || form->pattern.re_nsub < (size_t)form->needed) {
        link_fault(form->link, setting, NULL, message,
                   "this pattern has %zu groups, and group %d is asked for", form->pattern.re_nsub,
                   form->needed);
        return status_remedy(message, form->sort == SORT_GROUP
                                          ? "put what is wanted in brackets ( )"
                                          : "write `voltage from = group 1` and the like");
    }
    return STATUS_OK;
}

enum status line_form_new(const struct link *link, struct line_form **ret_form, struct message *message)
{
    static const char *const separators[] = {"comma",  "semicolon", "tab", "bar", "blank",
                                             "blanks", ",",         "|",   NULL};
    static const char *const decimals[] = {"point", "comma", NULL};
    struct line_form *form = memory_get(sizeof *form);
    form->link = link;
    form->decimal = '.';
    enum status status = STATUS_OK;
    if (link->channel_count == 0) {
        link_fault(link, NULL, NULL, message, "[%s] says not what its lines hold", link->name);
        status = status_remedy(message, "write for instance `voltage from = field 2`");
    }
    for (int k = 0; k < link->channel_count && status == STATUS_OK; k++)
        status = read_source(form, &link->channels[k], message);
    if (status == STATUS_OK && link->own_time)
        status = read_source(form, &link->time_source, message);
    if (status == STATUS_OK)
        status = read_word(form, "separator", separators, ",;\t|  ,|", &form->stated, message);
    if (status == STATUS_OK)
        status = read_word(form, "decimal", decimals, ".,", &form->decimal, message);
    if (status == STATUS_OK)
        status = read_pattern(form, message);
    if (status != STATUS_OK) {
        line_form_free(form);
        return status;
    }
    *ret_form = form;
    return STATUS_OK;
}

void line_form_free(struct line_form *form)
{
    if (form != NULL && form->has_pattern)
        regfree(&form->pattern);
    if (form != NULL)
        text_free(&form->line);
    free(form);
}

void line_form_forget(struct line_form *form)
{
    form->found = '\0';
}

/* One value into its place. */
static bool take(const struct line_form *form, int k, struct span text, struct arrival *arrival,
                 struct message *message)
{
    bool time = k == form->link->channel_count;
    return field_read(text, form->sources[k].channel, form->decimal,
                      time ? &arrival->time : &arrival->cells[k], arrival->odd, message);
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

/* The fields of a line; returns how many. */
static int split(struct span line, char separator, struct span fields[static FIELDS])
{
    int count = 0;
    if (separator == ' ')
        line = span_trim(line);
    for (size_t at = 0; count < FIELDS;) {
        size_t from = at;
        while (at < line.n && (separator == ' ' ? !is_blank(line.p[at]) : line.p[at] != separator))
            at++;
        fields[count++] = (struct span){line.p + from, at - from};
        if (at == line.n)
            break;
        at++;
        while (separator == ' ' && at < line.n && is_blank(line.p[at]))
            at++;
    }
    return count;
}

static bool read_fields(const struct line_form *form, struct span line, char separator,
                        struct arrival *arrival, struct message *message)
{
    struct span fields[FIELDS];
    int count = split(line, separator, fields);
    if (count < form->needed) {
        status_fail(message, STATUS_MALFORMED, "%d fields where %d are needed", count, form->needed);
        return false;
    }
    for (int k = 0; k < form->count; k++)
        if (!take(form, k, fields[form->sources[k].number - 1], arrival, message))
            return false;
    return true;
}

static bool find_separator(struct line_form *form, struct span line, struct arrival *ret_arrival,
                           struct message *message)
{
    static const char tries[] = {'\t', ';', '|', ',', ' '};
    for (size_t k = 0; k < sizeof tries; k++) {
        struct arrival arrival = {0};
        if (!read_fields(form, line, tries[k], &arrival, message))
            continue;
        if (tries[k] == ',' && memchr(line.p, ',', line.n) != NULL && memchr(line.p, '.', line.n) == NULL) {
            status_fail(message, STATUS_MALFORMED,
                        "these commas may be decimal commas; state `separator` or `decimal`");
            return false;
        }
        form->found = tries[k];
        *ret_arrival = arrival;
        return true;
    }
    return false;
}

/* Where the value of `key` begins (`key = 12`, `key: 12`), and the sign before it; line.n for none. */
static size_t find_key(struct span line, struct span key, char *ret_sign)
{
    for (size_t at = 0; at + key.n < line.n; at++) {
        char before = at > 0 ? line.p[at - 1] : ' ';
        if (isalnum((unsigned char)before) || before == '_' || (unsigned char)before >= 0x80 ||
            strncasecmp(line.p + at, key.p, key.n) != 0)
            continue;
        size_t sign = at + key.n;
        while (sign < line.n && is_blank(line.p[sign]))
            sign++;
        if (sign < line.n && (line.p[sign] == '=' || line.p[sign] == ':')) {
            *ret_sign = line.p[sign];
            return sign + 1;
        }
    }
    return line.n;
}

/* The value that begins at `at`: up to a separator, or to the name of the next value. */
static struct span value_at(const struct line_form *form, struct span line, size_t at, char sign)
{
    size_t end = at, word = at;
    while (end < line.n && is_blank(line.p[end]))
        end++;
    size_t from = end;
    for (; end < line.n; end++) {
        char c = line.p[end];
        bool stop =
            form->stated != '\0' ? c == form->stated : c != form->decimal && strchr(",;|\t", c) != NULL;
        if (stop)
            return (struct span){line.p + from, end - from};
        if (is_blank(c))
            word = end + 1;
        else if (c == sign && word > from && isalpha((unsigned char)line.p[word]))
            return (struct span){line.p + from, word - from};
    }
    return (struct span){line.p + from, line.n - from};
}

static bool read_keys(const struct line_form *form, struct span line, struct arrival *arrival,
                      struct message *message)
{
    bool json = line.n > 0 && line.p[0] == '{';
    if (json && !json_field_sound(line, message))
        return false;
    int found = 0;
    for (int k = 0; k < form->count; k++) {
        struct span key = form->sources[k].key, value;
        char sign = '\0';
        size_t at = json ? 0 : find_key(line, key, &sign);
        if (json ? !json_field_find(line, key, &value) : at >= line.n)
            continue;
        if (!json)
            value = value_at(form, line, at, sign);
        if (!take(form, k, value, arrival, message))
            return false;
        found++;
    }
    if (found == 0)
        status_fail(message, STATUS_MALFORMED, "none of the keys is in it");
    return found > 0;
}

static bool read_groups(struct line_form *form, struct span line, struct arrival *arrival,
                        struct message *message)
{
    regmatch_t groups[GROUPS];
    text_free(&form->line);
    text_add_bytes(&form->line, line.p, line.n);
    line.p = text_string(&form->line);
    if (regexec(&form->pattern, line.p, GROUPS, groups, 0) != 0) {
        status_fail(message, STATUS_MALFORMED, "the pattern does not fit it");
        return false;
    }
    for (int k = 0; k < form->count; k++) {
        regmatch_t group = groups[form->sources[k].number];
        struct span value = {line.p, 0};
        if (group.rm_so >= 0)
            value = (struct span){line.p + group.rm_so, (size_t)(group.rm_eo - group.rm_so)};
        if (!take(form, k, value, arrival, message))
            return false;
    }
    return true;
}

/* A reading without any value says nothing new. */
static bool says_something(const struct line_form *form, const struct arrival *arrival)
{
    for (int k = 0; k < form->link->channel_count; k++)
        if (arrival->cells[k].kind != DECIMAL_MISSING)
            return true;
    return false;
}

bool line_form_read(struct line_form *form, struct span line, struct arrival *ret_arrival,
                    struct message *message)
{
    struct arrival arrival = {0};
    struct message why = {0};
    char separator = form->stated != '\0' ? form->stated : form->found;
    line = span_trim(line);
    bool good = form->sort == SORT_KEY     ? read_keys(form, line, &arrival, &why)
                : form->sort == SORT_GROUP ? read_groups(form, line, &arrival, &why)
                : separator != '\0'        ? read_fields(form, line, separator, &arrival, &why)
                                           : find_separator(form, line, &arrival, &why);
    if (good && !says_something(form, &arrival)) {
        status_fail(&why, STATUS_MALFORMED, "no value is in it");
        good = false;
    }
    if (!good) {
        char shown[FIELD_SHOWN];
        field_show(line, shown);
        status_fail(message, STATUS_MALFORMED, "no reading: `%s`: %s", shown, why.what);
        return false;
    }
    *ret_arrival = arrival;
    return true;
}
