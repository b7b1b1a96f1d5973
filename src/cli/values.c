#include "cli/values.h"

#include "base/number.h"

#include <errno.h>
#include <stdlib.h>
#include <unistd.h>

enum status value_one_of(const char *option, const char *value, const char *const *words, int *ret_index,
                          struct message *message)
{
    for (int k = 0; words[k] != NULL; k++) {
        if (strcmp(words[k], value) == 0) {
            *ret_index = k;
            return STATUS_OK;
        }
    }
    status_fail(message, STATUS_USAGE, "--%s does not know '%s'", option, value);
    struct text list = TEXT_EMPTY;
    for (int k = 0; words[k] != NULL; k++)
        text_addf(&list, "%s%s", k > 0 ? ", " : "", words[k]);
    enum status status = status_remedy(message, "use one of: %s", text_string(&list));
    text_free(&list);
    return status;
}

enum status value_whole(const char *what, const char *value, int64_t least, int64_t most, int64_t *ret_number,
                        struct message *message)
{
    char *end = NULL;
    errno = 0;
    long long number = strtoll(value, &end, 10);
    if (value[0] >= '0' && value[0] <= '9' && *end == '\0' && errno == 0 && number >= least && number <= most) {
        *ret_number = number;
        return STATUS_OK;
    }
    status_fail(message, STATUS_USAGE, "%s cannot use '%s'", what, value);
    if (most == INT64_MAX)
        return status_remedy(message, "a whole number from %lld on", (long long)least);
    return status_remedy(message, "a whole number from %lld to %lld", (long long)least, (long long)most);
}

enum status value_quantity(const char *option, const char *value, enum quantity wanted, const char *example,
                                 double *ret_value, struct message *message)
{
    enum quantity quantity;
    double number;
    size_t used = quantity_read(span_of(value), '.', &number, NULL, &quantity);
    if (used == strlen(value) && used > 0 && (quantity == wanted || quantity == QUANTITY_NONE) && number > 0) {
        *ret_value = number;
        return STATUS_OK;
    }
    status_fail(message, STATUS_USAGE, "--%s cannot use '%s'", option, value);
    return status_remedy(message, "give it as `--%s %s`", option, example);
}

enum status value_sign(const char *option, const char *value, enum sign_stated *ret_sign, struct message *message)
{
    static const char *const words[] = {"discharge-positive", "charge-positive", NULL};
    int k = 0;
    enum status status = value_one_of(option, value, words, &k, message);
    if (status == STATUS_OK)
        *ret_sign = k == 0 ? SIGN_DISCHARGE_POSITIVE : SIGN_CHARGE_POSITIVE;
    return status;
}

enum status value_column(const char *value, struct column_wish wishes[static VALUE_WISHES],
                         struct log_options *options, struct message *message)
{
    if (options->wish_count == VALUE_WISHES)
        return status_fail(message, STATUS_USAGE, "more than %d columns settled", VALUE_WISHES);
    enum status status = column_wish_read(value, &wishes[options->wish_count], message);
    options->wishes = wishes;
    options->wish_count += status == STATUS_OK;
    return status;
}

void progress_show(void *context, double share)
{
    struct progress *progress = context;
    int percent = (int)(100 * share), width = (int)strlen(progress->what) + 8;
    if (percent == progress->shown)
        return;
    progress->shown = percent;
    fprintf(stderr, "\r%s %3d %%", progress->what, percent);
    if (percent >= 100)
        fprintf(stderr, "\r%*s\r", width, "");
}

void (*progress_function(bool quiet))(void *context, double share)
{
    return !quiet && isatty(STDERR_FILENO) ? progress_show : NULL;
}
