/* The first shape of the benchmarks through libxlsxwriter in its
 * constant-memory mode: 100,000 rows of fifteen texts and nine numbers. */
#include <stdio.h>
#include <xlsxwriter.h>

static const char *words[] = {"binary-output", "analog-input", "hardwired", "controls contractor", "electrical",
                              "normally-open", "PANEL-12", "software", "base"};

static void name(char *to, size_t most, int row, int column) {
    switch (column) {
    case 0: snprintf(to, most, "EF-%d", row); break;
    case 1: snprintf(to, most, "EF-%d/override-active", row); break;
    case 2: snprintf(to, most, "B1.EF%d.OVR", row); break;
    case 3: snprintf(to, most, "fans.xlsx, Schedule!A%d", row); break;
    case 4: snprintf(to, most, "Exhaust fan %d, override", row); break;
    default: snprintf(to, most, "%ld-%d", (long)row * 7919 % 65536, row);
    }
}

int main(int argc, char **argv) {
    lxw_workbook_options options = {.constant_memory = LXW_TRUE, .tmpdir = NULL, .use_zip64 = LXW_FALSE};
    lxw_workbook *book = workbook_new_opt(argc > 1 ? argv[1] : "rows.xlsx", &options);
    lxw_worksheet *sheet = workbook_add_worksheet(book, "Rows");
    lxw_format *head = workbook_add_format(book), *text = workbook_add_format(book), *number = workbook_add_format(book);
    format_set_bold(head);
    format_set_border(head, LXW_BORDER_THIN);
    format_set_text_wrap(text);
    format_set_border(text, LXW_BORDER_THIN);
    format_set_align(number, LXW_ALIGN_RIGHT);
    format_set_border(number, LXW_BORDER_THIN);
    worksheet_set_column(sheet, 0, 23, 20, NULL);
    worksheet_freeze_panes(sheet, 1, 1);
    char cell[64];
    for (int c = 0; c < 24; c++) {
        snprintf(cell, sizeof cell, "Column %d", c + 1);
        worksheet_write_string(sheet, 0, c, cell, head);
    }
    for (int r = 1; r <= 100000; r++)
        for (int c = 0; c < 24; c++) {
            if (c < 6) {
                name(cell, sizeof cell, r, c);
                worksheet_write_string(sheet, r, c, cell, text);
            } else if (c < 15)
                worksheet_write_string(sheet, r, c, words[(r + c) % 9], text);
            else
                worksheet_write_number(sheet, r, c, (double)((long)r * c % 100000) + c / 8.0, number);
        }
    return workbook_close(book);
}
