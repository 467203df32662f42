"""From here on rows of these tables only ever arrive."""

from typing import ClassVar

from django.db import migrations

from haywright.office.ledger.for_good import written_for_good


class Migration(migrations.Migration):
    dependencies: ClassVar = [("stack", "0001_initial")]
    operations: ClassVar = [
        written_for_good("stack_temperature"),
    ]
