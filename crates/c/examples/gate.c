/* A gate between verdict and unit: opens for one donor of one worksheet, or stays shut.
 *
 *     gate WORKSHEET DONOR && echo "hand over the unit"
 *
 * It ends with 0 only if the call ended with CROSSREAD_STATUS_OK *and* the answer names this donor
 * once *and* `releasable` of this donor is true. Everything else, whatever it is, ends with 1. The
 * verdict is serology only; local rules and the veterinarian decide.
 *
 * A program of yours reads the answer with the JSON reader that it has. Here it is searched for
 * text, to need no other library: on one line each donor stands as
 * {"donor":"ID","product":...,"verdict":...,"releasable":true,... in this order. */

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "crossread.h"

/* Whether the answer on one line frees the donor. */
static int frees(const char *answer, const char *donor)
{
    char start[300];
    const char *pair, *again, *said;
    int length;
    /* An id that JSON would write otherwise than it is, is not looked for. */
    if (strpbrk(donor, "\"\\") || strlen(donor) > 200)
        return 0;
    length = snprintf(start, sizeof start, "{\"donor\":\"%s\",\"product\":", donor);
    if (length < 0 || (size_t)length >= sizeof start)
        return 0;
    pair = strstr(answer, start);
    if (!pair)
        return 0;
    again = strstr(pair + 1, start);
    said = strstr(pair, "\"releasable\":");
    if (again || !said)
        return 0;
    /* It must be this donor's word, not the next one's. */
    again = strstr(pair + 1, "{\"donor\":");
    if (again && again < said)
        return 0;
    return strncmp(said, "\"releasable\":true,", 18) == 0;
}

int main(int count, char **arguments)
{
    static char document[1 << 20];
    size_t length;
    char *text = NULL;
    int open = 0;
    FILE *file;
    if (count != 3) {
        fprintf(stderr, "usage: gate WORKSHEET DONOR\n");
        return 1;
    }
    file = fopen(arguments[1], "rb");
    if (!file) {
        fprintf(stderr, "cannot read %s: do not release\n", arguments[1]);
        return 1;
    }
    length = fread(document, 1, sizeof document, file);
    if (ferror(file) || !feof(file)) {
        fprintf(stderr, "cannot read all of %s: do not release\n", arguments[1]);
        fclose(file);
        return 1;
    }
    fclose(file);
    switch (crossread_interpret(NULL, document, length, arguments[1], 0, CROSSREAD_LAYOUT_LINE,
                                &text)) {
    case CROSSREAD_STATUS_OK:
        open = text && frees(text, arguments[2]);
        break;
    default:
        fprintf(stderr, "%s\n", text ? text : "no answer");
        break;
    }
    crossread_text_free(text);
    if (printf("%s: %s\n", arguments[2], open ? "releasable by the verdict" : "do not release") < 0)
        return 1;
    return open ? 0 : 1;
}
